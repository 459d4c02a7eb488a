"""The Use room in a real browser: axe, the console (by ``open_page``), narrow and dark screens, keyboard, and paper."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from app.services.use.counting import count_day
from tests.app.clinic_days import DATE, plan_at_once, store_of
from tests.app.use_days import AFTER, record, the_day_after
from tests.browser.axe import nothing_found_here
from tests.browser.conftest import PICTURES, Served

pytestmark = [pytest.mark.browser, pytest.mark.slow]
QUERY = f"from={DATE}&to={DATE}"


@pytest.fixture(scope="module")
def served_use(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    server = Served(tmp_path_factory.mktemp("use"), plan_at_once, the_day_after)
    record(store_of(server.app))
    count_day(store_of(server.app), DATE, AFTER)
    yield server.origin
    server.stop()


@pytest.fixture
def pictures() -> Path:
    PICTURES.mkdir(parents=True, exist_ok=True)
    return PICTURES


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (390, "light"), (1280, "dark")])
def test_axe_finds_nothing_and_nothing_runs_over(
    served_use: str, open_page: Callable[..., Page], pictures: Path, width: int, scheme: str
) -> None:
    page = open_page(f"{served_use}/use?{QUERY}", width, scheme, role="manager")
    expect(page.get_by_role("heading", name="Planned and actual")).to_be_visible()
    page.screenshot(path=pictures / f"use-{scheme}-{width}.png", full_page=True)
    nothing_found_here(page)
    page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true })")
    nothing_found_here(page)


def test_every_picture_has_its_table_a_key_away_and_every_table_its_csv(
    served_use: str, open_page: Callable[..., Page]
) -> None:
    page = open_page(f"{served_use}/use?{QUERY}", role="manager")
    pictures, summaries = page.locator("svg[role=img]"), page.locator("summary")
    assert pictures.count() == 9
    for number in range(pictures.count()):
        told = pictures.nth(number).get_attribute("aria-label") or ""
        assert "the table below" in told, told
        after = pictures.nth(number).locator("xpath=ancestor::div[@role='region']/following-sibling::*[1]")
        expect(after.locator("summary")).to_be_visible()
    for number in range(summaries.count()):
        summary = summaries.nth(number)
        details = summary.locator("xpath=..")
        if details.get_attribute("open") is None:
            summary.focus()
            page.keyboard.press("Enter")
        expect(details.locator("tbody tr").first).to_be_visible()
    links = page.locator("a[download]").evaluate_all("links => links.map(link => link.href)")
    assert len(links) == summaries.count() + 1
    for link in links:
        answer = page.request.get(link)
        assert (answer.status, answer.headers["content-type"].split(";")[0]) == (200, "text/csv"), link
        assert len(answer.text().splitlines()) > 1, link


def test_a_range_is_chosen_by_keyboard(served_use: str, open_page: Callable[..., Page]) -> None:
    page = open_page(f"{served_use}/use", role="manager")
    page.get_by_role("link", name="Last 4 weeks").focus()
    page.keyboard.press("Enter")
    expect(page.locator("[aria-current=true]")).to_have_text("Last 4 weeks")
    page.get_by_label("From").focus()
    page.get_by_label("From").fill(str(DATE))
    page.get_by_label("To").fill(str(DATE))
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/use?{QUERY}")
    expect(page.get_by_role("heading", name="Each treatment")).to_be_visible()


def test_a_month_is_printed_with_its_columns_whole(
    served_use: str, open_page: Callable[..., Page], pictures: Path
) -> None:
    page = open_page(f"{served_use}/use/month/{DATE:%Y-%m}", 1055, role="manager")
    page.emulate_media(media="print")
    page.screenshot(path=pictures / "use-month-print.png", full_page=True)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert (
        page.evaluate(
            "[...document.querySelectorAll('.scroll')].filter(each => each.scrollWidth > each.clientWidth + 1).length"
        )
        == 0
    )
    expect(page.get_by_role("navigation")).to_have_count(0)
    for name in ("Weekday and hour: the table", "Weekday and hour, planned and actual: the table"):
        expect(page.locator("summary", has_text=name)).not_to_be_visible()
    expect(page.locator("summary", has_text="Treatments: the table")).to_be_visible()
