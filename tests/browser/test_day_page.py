"""The Day page in a real browser: whole, readable by everyone, reachable by keyboard."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.app.clinic_days import plan_at_once, plan_deaf
from tests.browser.axe import nothing_found
from tests.browser.conftest import PICTURES, Served

pytestmark = pytest.mark.browser
Open = Callable[..., Page]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("query", ["?at=10:02", "?as=table", "?at=10:02&part=V2.p1"])
def test_axe_finds_nothing(served: Served, open_page: Open, query: str, width: int, scheme: str) -> None:
    page = open_page(served.address + query, width, scheme)
    nothing_found(page)


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("view", ["timeline", "table"])
def test_pictures_are_kept(served: Served, open_page: Open, view: str, width: int) -> None:
    PICTURES.mkdir(parents=True, exist_ok=True)
    page = open_page(f"{served.address}?at=10:02&as={view}", width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    picture = PICTURES / f"day-{view}-{width}.png"
    page.screenshot(path=picture, full_page=True)
    assert picture.stat().st_size > 10_000


def focused(page: Page) -> str:
    return str(page.evaluate("document.activeElement?.dataset?.detail ?? ''"))


def test_tab_stops_once_at_the_parts_and_arrows_reach_every_one(served: Served, open_page: Open) -> None:
    page = open_page(served.address)
    assert page.locator("#timeline [data-stop][tabindex='0']").count() == 1
    for _ in range(40):
        page.keyboard.press("Tab")
        if focused(page):
            break
    walked = [focused(page)]
    for _ in range(60):
        page.keyboard.press("ArrowRight")
        if focused(page) == walked[-1]:
            break
        walked.append(focused(page))
    stops = page.eval_on_selector_all("#timeline [data-stop]", "all => all.map(one => one.dataset.detail)")
    assert set(walked) == set(stops)
    assert {"V1.p1", "V2.p1", "V3.p1", "V3.p2"} <= set(walked)


def test_up_and_down_walk_between_channels_and_units(served: Served, open_page: Open) -> None:
    page = open_page(served.address)
    page.locator("[data-stop][data-detail='V2.p1']").focus()
    page.keyboard.press("ArrowDown")
    assert focused(page) == "V3.p1" or focused(page).startswith("gap.U2.u1")
    page.keyboard.press("ArrowUp")
    assert focused(page).split(".")[0] in ("V2", "gap")


def test_every_part_can_be_reached_by_tab_alone_without_script(served: Served, open_page: Open) -> None:
    page = open_page(served.address, script=False)
    keys = page.locator("#timeline a[data-stop]")
    assert keys.count() >= 4
    assert page.locator("#timeline a[data-stop][tabindex]").count() == 0
    page.locator("a[data-detail='V2.p1']").click()
    expect(page.locator("#panel")).to_contain_text("Bea Later")


def test_hover_shows_a_part_enter_pins_it_escape_closes_it(served: Served, open_page: Open) -> None:
    page = open_page(served.address)
    page.locator(".block[data-detail='V1.p1']").first.hover()
    expect(page.locator("#panel")).to_contain_text("Ann Early")
    expect(page.locator(".block.lit")).to_have_count(2)
    page.locator("[data-stop][data-detail='V2.p1']").focus()
    expect(page.locator("#panel")).to_contain_text("Bea Later")
    page.keyboard.press("Enter")
    expect(page.locator("#panel h3")).to_be_focused()
    page.locator(".block[data-detail='V1.p1']").first.hover()
    expect(page.locator("#panel h3")).to_have_text("Bea Later")
    page.keyboard.press("Escape")
    expect(page.locator("#panel.open")).to_have_count(0)
    assert focused(page) == "V2.p1"


def test_plus_and_minus_zoom_and_keep_the_part_in_focus(served: Served, open_page: Open) -> None:
    page = open_page(served.address)
    page.locator("[data-stop][data-detail='V2.p1']").focus()
    narrow = page.locator(".sheet").evaluate("sheet => sheet.offsetWidth")
    page.keyboard.press("+")
    expect(page.locator("#timeline[data-zoom='120']")).to_have_count(1)
    assert page.locator(".sheet").evaluate("sheet => sheet.offsetWidth") > narrow
    page.wait_for_function("document.activeElement?.dataset?.detail === 'V2.p1'")
    assert page.locator("[data-stop][data-detail='V2.p1']").evaluate(
        "mark => { const box = mark.getBoundingClientRect(); return box.left >= 0 && box.right <= innerWidth; }"
    )
    page.keyboard.press("-")
    expect(page.locator("#timeline[data-zoom='0']")).to_have_count(1)


def test_zooming_does_not_move_the_page(served: Served, open_page: Open) -> None:
    page = open_page(served.address)
    page.locator("#timeline a.block").last.focus()
    page.evaluate("window.scrollTo(0, 150)")
    top = page.evaluate("document.activeElement.getBoundingClientRect().top")
    for zoom in (120, 60):
        page.keyboard.press("+")
        expect(page.locator(f"#timeline[data-zoom='{zoom}']")).to_have_count(1)
        page.wait_for_function("document.activeElement.matches('a.block')")
        assert abs(page.evaluate("document.activeElement.getBoundingClientRect().top") - top) < 2


def test_the_filter_swaps_the_timeline_and_the_address(served: Served, open_page: Open) -> None:
    page = open_page(served.address)
    page.select_option("#filter-unit", "U2")
    expect(page.locator("[data-unit='U1']")).to_have_count(0)
    assert "unit=U2" in page.url
    page.locator("[data-stop]").first.focus()
    assert page.locator("#timeline [data-stop][tabindex='0']").count() == 1


def test_a_phone_shows_one_unit_and_a_picker(served: Served, open_page: Open) -> None:
    page = open_page(served.address, 390)
    assert page.locator(".unit-band:visible").count() == 1
    page.locator(".picker a", has_text="Sorrel").click()
    expect(page.locator(".unit-band:visible h2")).to_have_text("Sorrel")


def test_a_phone_folds_what_a_desk_has_open(served: Served, open_page: Open) -> None:
    desk, phone = open_page(served.address), open_page(served.address, 390)
    for inside in ("#filter-unit", ".legend .p-still", ".stock-band .hold >> nth=0"):
        assert desk.locator(inside).is_visible()
        assert not phone.locator(inside).is_visible()
    assert phone.locator(".unit-band:visible .rails").evaluate("rails => rails.getBoundingClientRect().top") < 600
    phone.locator("#fold-items summary").click()
    expect(phone.locator("#fold-items .hold").first).to_be_visible()
    phone.locator(".picker a", has_text="Sorrel").click()
    expect(phone.locator(".unit-band:visible h2")).to_have_text("Sorrel")
    expect(phone.locator("#fold-items .hold").first).to_be_visible()


def test_a_tapped_part_is_not_hidden_by_its_details(served: Served, open_page: Open) -> None:
    page = open_page(served.address, 390)
    assert not page.locator("#panel").is_visible()
    page.locator("a[data-detail='V1.p1']").first.click()
    box, panel = page.locator("a[data-detail='V1.p1']").first.bounding_box(), page.locator("#panel").bounding_box()
    assert box is not None
    assert panel is not None
    assert box["y"] + box["height"] <= panel["y"]


def test_controls_are_24_px_or_more(served: Served, open_page: Open) -> None:
    for width in (1280, 390):
        page = open_page(served.address, width)
        small = page.eval_on_selector_all(
            ".controls a, .controls button, .controls select, .controls input, .masthead a, .picker a, summary",
            """all => all.filter(one => one.offsetParent && (one.offsetHeight < 24 || one.offsetWidth < 24))
                .map(one => one.outerHTML.slice(0, 80))""",
        )
        assert small == []


def test_paper_has_the_whole_day_and_no_controls(served: Served, open_page: Open) -> None:
    page = open_page(served.address)
    page.emulate_media(media="print")
    assert not page.locator(".controls").is_visible()
    assert not page.locator("#panel").is_visible()
    assert page.locator(".left-out table").is_visible()
    sheet, frame = (page.locator(where).evaluate("box => box.offsetWidth") for where in (".sheet", ".timeline"))
    assert sheet <= frame


def test_plan_again_streams_its_progress_and_proposes_moves(serve: Callable[..., Served], open_page: Open) -> None:
    page = open_page(serve(plan_at_once).address)
    page.locator("#seconds").fill("5")
    page.get_by_role("button", name="Plan again").click()
    expect(page.locator("#progress")).to_contain_text("Finished: a proposal.", timeout=20_000)
    page.get_by_role("link", name="See the proposal").click()
    expect(page.get_by_role("row", name="Ann Early")).to_contain_text("5 min later")
    page.get_by_role("button", name="Accept: save it").click()
    expect(page.locator(".version")).to_have_text("2", timeout=20_000)
    expect(page.locator("#progress")).to_contain_text("The proposal was accepted: version 2.")


def test_cancel_keeps_the_best_so_far(serve: Callable[..., Served], open_page: Open) -> None:
    page = open_page(serve(plan_deaf).address)
    page.locator("#seconds").fill("60")
    page.get_by_role("button", name="Plan again").click()
    expect(page.locator("#stream")).to_contain_text("minutes from wish", timeout=20_000)
    expect(page.get_by_role("progressbar", name="Time used")).to_be_visible()
    page.locator("#cancel").click()
    expect(page.locator("#progress")).to_contain_text("the best so far is a proposal", timeout=5_000)
    expect(page.locator(".version")).to_have_text("1")


def test_seconds_out_of_range_are_said_beside_the_field(
    served: Served, open_page: Open, console_errors: list[str]
) -> None:
    page = open_page(served.address + "?as=table")
    page.evaluate("document.querySelector('#seconds').value = '500'")
    with page.expect_response(lambda response: response.request.method == "POST") as answer:
        page.get_by_role("button", name="Plan again").click()
    assert answer.value.status == 422
    expect(page.locator("#seconds-fault")).to_contain_text("from 1 to 120")
    expect(page.locator("#seconds")).to_have_value("500")
    assert [error for error in console_errors if "422" not in error] == []
    console_errors.clear()  # chromium reports every answer of 422 there


@pytest.mark.parametrize(("width", "query"), [(1280, ""), (1280, "?zoom=30"), (390, "?unit=U2")])
def test_words_in_a_block_are_whole_or_not_there(served: Served, open_page: Open, width: int, query: str) -> None:
    page = open_page(served.address + query, width)
    cut = page.eval_on_selector_all(
        ".block, .gap, .hand, .hold, .break, .charge",
        """marks => marks.flatMap(mark => [...mark.querySelectorAll("b, span:not(:has(*)):not(.strip)")]
            .filter(word => word.offsetWidth > mark.clientWidth + 1)
            .map(word => `${mark.className}: ${word.textContent} ${word.offsetWidth} of ${mark.clientWidth}`))""",
    )
    assert cut == []
    assert page.locator(".block b:visible").count() > 0
