"""The Use room in a real browser: axe, the console (by ``open_page``), narrow and dark screens, and the keyboard."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from app.services.use.counting import count_day
from tests.app.clinic_days import DATE, plan_at_once, store_of
from tests.app.use_days import AFTER, record, the_day_after
from tests.browser.conftest import PICTURES, Served

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.fixture
def served_use(tmp_path: Path) -> Iterator[str]:
    server = Served(tmp_path, plan_at_once, the_day_after)
    record(store_of(server.app))
    count_day(store_of(server.app), DATE, AFTER)
    yield f"{server.origin}/use?from={DATE}&to={DATE}"
    server.stop()


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (390, "light"), (1280, "dark")])
def test_axe_finds_nothing_and_nothing_runs_over(
    served_use: str, open_page: Callable[..., Page], width: int, scheme: str
) -> None:
    page = open_page(served_use, width, scheme, role="manager")
    expect(page.get_by_role("heading", name="Planned and actual")).to_be_visible()
    summary = page.locator("summary", has_text="Planned and actual of each")
    summary.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("rowheader", name="Overrun")).to_be_visible()
    expect(page.locator("details[open]", has=summary).get_by_role("rowheader").first).to_be_visible()
    PICTURES.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=PICTURES / f"use-{scheme}-{width}.png", full_page=True)
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
