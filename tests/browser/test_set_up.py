"""The Set-up room in a real browser: readable by everyone, reachable by keyboard, faults and what breaks announced."""

import datetime
import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from app.db.store import Store
from app.services.setup.dropping import after_the_change
from app.services.setup.filled import filled_set_up
from tests.app.set_up_clinic import MONDAY, a_monday, book_monday, clinic_in, token
from tests.browser.axe import nothing_found
from tests.browser.conftest import PICTURES
from tests.browser.set_up_served import Served

pytestmark = pytest.mark.browser
PAGES = (
    "",
    "/clinic",
    "/opening",
    "/closure",
    "/place/form",
    "/unit/form?start=ultrasound-and-two-cups-on-battery",
    "/unit/form?code=U1",
    "/applicator/form?code=heads",
    "/staff/form?code=T1",
    "/staff/away?code=T1",
    "?done=unit#done",
)
SIGHTS = [(width, scheme) for width in (1280, 390) for scheme in ("light", "dark")]
Open = Callable[..., Page]

TARGETS = """() => [...document.querySelectorAll('main a, main button, main input:not([type=hidden]), main select')]
    .filter(one => one.offsetParent && !(one.matches('p a, li a') && getComputedStyle(one).display === 'inline'))
    .map(one => [one.outerHTML.slice(0, 80), one.getBoundingClientRect()])
    .filter(([, box]) => box.width < 24 || box.height < 24).map(([text]) => text)"""


@pytest.fixture(scope="module")
def clinic(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    store = clinic_in(tmp_path_factory.mktemp("clinic"))
    book_monday(store)
    book_monday(store, a_monday(2))
    yield store
    store.close()


@pytest.fixture(scope="module")
def served(clinic: Store) -> Iterator[Served]:
    server = Served(clinic)
    yield server
    server.stop()


@pytest.fixture
def errors() -> list[str]:
    """What stands in the consoles as an error; a test that provokes one takes it out."""
    return []


@pytest.fixture
def open_at(browser: Browser, served: Served, clinic: Store, errors: list[str]) -> Iterator[Open]:
    """Open a page of the room as the manager, at a width and in a colour scheme."""
    contexts = []

    def open_page(under: str, width: int = 1280, scheme: str = "light", script: bool = True) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme="dark" if scheme == "dark" else "light",
            reduced_motion="reduce",
            java_script_enabled=script,
        )
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(f"{served.origin}/once/{token(clinic)}")
        page.goto(f"{served.origin}/set-up{under}")
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert errors == []


def refused(errors: list[str], status: str) -> None:
    """The browser itself tells the console of an answer that is not a success: it is what the test asked for."""
    assert len(errors) == 1
    assert status in errors.pop()


def judge(page: Page, width: int, picture: str = "") -> None:
    nothing_found(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(TARGETS) == []
    if picture:
        PICTURES.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=PICTURES / f"set-up-{picture}-{width}.png", full_page=True)


@pytest.mark.parametrize("pages", [PAGES[:4], PAGES[4:8], PAGES[8:]], ids=["clinic", "things", "rest"])
@pytest.mark.parametrize(("width", "scheme"), SIGHTS)
def test_every_page_is_fit_for_everyone(
    open_at: Open, served: Served, pages: tuple[str, ...], width: int, scheme: str
) -> None:
    page = open_at("", width, scheme)
    for under in pages:
        page.goto(f"{served.origin}/set-up{under}")
        judge(page, width, (under.split("?")[0].replace("/", "-").strip("-") or "list") if scheme == "light" else "")


@pytest.mark.parametrize(("width", "scheme"), SIGHTS)
def test_faults_are_announced_and_lead_to_their_fields(
    open_at: Open, errors: list[str], width: int, scheme: str
) -> None:
    page = open_at("/unit/form", width, scheme)
    page.get_by_label("Patients at once").fill("none")
    page.get_by_role("button", name="Save").click()
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("Nothing was saved")
    refused(errors, "422")
    expect(alert).to_be_focused()
    wrong = page.locator("#patients_at_once")
    expect(wrong).to_have_value("none")
    described = str(wrong.get_attribute("aria-describedby")).split()
    assert "patients_at_once-fault" in described
    assert wrong.get_attribute("aria-invalid") == "true"
    judge(page, width, "faults" if scheme == "light" else "")
    alert.get_by_role("link", name="Patients at once").click()
    expect(wrong).to_be_in_viewport()


@pytest.mark.parametrize(("width", "scheme"), SIGHTS)
def test_what_breaks_is_announced_and_listed_before_it_is_saved(
    open_at: Open, clinic: Store, errors: list[str], width: int, scheme: str
) -> None:
    page = open_at("/closure", width, scheme)
    page.get_by_label("Date").fill(f"{MONDAY}")
    page.get_by_label("Reason").fill("flood")
    page.get_by_role("button", name="Save").click()
    heading = page.get_by_role("heading", name="3 booked visits would no longer hold")
    expect(heading).to_be_focused()
    refused(errors, "409")
    expect(heading).to_be_in_viewport()
    expect(page.get_by_label("Reason")).to_have_value("flood")
    judge(page, width, "broken" if scheme == "light" else "")
    page.get_by_role("link", name="Do not save").click()
    expect(page.get_by_role("heading", name="Closures")).to_be_in_viewport()
    assert filled_set_up(clinic).closures == ()


def test_a_place_is_made_by_keyboard_alone(open_at: Open) -> None:
    page = open_at("")

    def tab_to(name: str) -> None:
        for _ in range(80):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.textContent || document.activeElement.name").strip() == name:
                return
        raise AssertionError(f"{name} is not reached by Tab")

    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the page")).to_be_focused()
    tab_to("Add a place")
    page.keyboard.press("Enter")
    page.wait_for_url("**/place/form")
    tab_to("code")
    page.keyboard.type("attic")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.type("A1, A2")
    page.keyboard.press("Enter")
    done = page.locator("#done")
    expect(done).to_have_text("Saved: the place.")
    expect(done).to_be_focused()
    expect(done).to_be_in_viewport()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('section').querySelector('h2').id") == "place"


def test_while_booked_days_are_checked_it_is_told_and_sent_once(open_at: Open) -> None:
    page = open_at("/unit/form?code=U2")
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    page.get_by_label("Name", exact=True).fill("Blue one")
    told = page.evaluate(
        """() => {
            const [button, told] = [document.querySelector("main .primary"), document.querySelector("[role=status]")];
            const before = told.textContent;
            button.click();
            button.click();
            return [before, told.textContent];
        }"""
    )
    assert told == ["", "Checking 2 booked days… This may take some seconds."]
    expect(page.locator("#done")).to_have_text("Saved: the unit.")
    assert len(sent) == 1


def test_hours_of_monday_are_copied_until_friday(open_at: Open) -> None:
    page = open_at("/staff/form")
    assert [page.locator(f"[name='hours[{i}]']").input_value() for i in (0, 4, 5)] == ["09:00-17:00"] * 2 + [""]
    page.get_by_label("Hours on Monday").fill("10:00-12:00")
    page.get_by_label("Breaks on Monday").fill("15 in 10:30-11:30")
    page.get_by_role("button", name="As on Monday, until Friday").click()
    assert [page.locator(f"[name='hours[{i}]']").input_value() for i in range(7)] == ["10:00-12:00"] * 5 + [""] * 2
    assert page.locator("[name='breaks[4]']").input_value() == "15 in 10:30-11:30"


def test_figures_of_a_battery_are_asked_for_only_where_there_is_one(open_at: Open) -> None:
    page = open_at("/unit/form")
    expect(page.get_by_label("Capacity, Wh")).to_be_hidden()
    page.get_by_label("Runs").select_option("has a battery")
    expect(page.get_by_label("Capacity, Wh")).to_be_visible()


def test_all_works_without_script(open_at: Open) -> None:
    page = open_at("/applicator/form?code=heads", script=False)
    page.get_by_label("Turnaround, minutes").fill("6")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#done")).to_have_text("Saved: the applicator.")
    expect(page.locator("#done")).to_be_in_viewport()


def test_a_date_is_chosen_for_an_absence(open_at: Open, clinic: Store) -> None:
    page = open_at("/staff/away?code=A1")
    day = a_monday(5) + datetime.timedelta(1)
    page.get_by_label("From, date").fill(f"{day}")
    page.get_by_label("Until, date").fill(f"{day}")
    page.get_by_label("Until, time").fill("11:00")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#done")).to_have_text("Saved: when the staff member is absent.")
    expect(page.get_by_role("link", name=f"{day} 00:00 to {day} 11:00")).to_be_visible()
    page.get_by_role("button", name=f"Take {day} 00:00 to {day} 11:00 back").click()
    expect(page.locator("#done")).to_contain_text("there then after all")


def test_saving_that_takes_a_while_shows_how_far_it_is_and_can_be_ended(
    open_at: Open, clinic: Store, errors: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    quick = after_the_change

    def slow(*given: Any) -> Any:
        time.sleep(0.8)
        return quick(*given)

    monkeypatch.setattr("app.services.setup.foreseeing.after_the_change", slow)
    before = filled_set_up(clinic)
    page = open_at("/unit/form?code=U1")
    page.get_by_label("Name").first.fill("Another name")
    page.get_by_role("button", name="Save").click(no_wait_after=True)
    expect(page.locator(".saving")).to_contain_text("of 2 booked days")
    page.get_by_role("button", name="Cancel").click()
    expect(page.locator(".faults")).to_contain_text("cancelled: nothing was changed")
    expect(page.get_by_label("Name").first).to_have_value("Another name")
    assert filled_set_up(clinic) == before
    errors[:] = [line for line in errors if "409" not in line]
