"""What holds us back in a real browser: asked for and followed by keyboard, looked at by axe."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Page, expect

from app.services.use.holding_back import HoldingBackRoom
from tests.app.clinic_days import store_of
from tests.app.test_holding_back import looked_and_deaf
from tests.browser.axe import nothing_found_at
from tests.browser.conftest import Served
from tests.browser.one_job import cancelled_by_keyboard, slow_room

pytestmark = pytest.mark.browser
Open = Callable[..., Page]


def test_a_range_is_asked_for_and_shown_by_keyboard_alone(served: Served, open_page: Open) -> None:
    page = open_page(f"{served.origin}/use", 390, role="manager")
    page.get_by_role("link", name="What holds us back").focus()
    page.keyboard.press("Enter")
    page.locator("#first").fill("2031-03-01")
    page.locator("#last").fill("2031-03-31")
    page.locator("main button.primary").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#compared .compared-ended")).to_have_text("Finished.", timeout=30_000)
    expect(page.locator("#look")).to_have_count(0)
    expect(page.locator("#compared svg.picture rect")).not_to_have_count(0)
    minutes = page.locator("#compared table").first.locator("tbody td:nth-child(3)").all_inner_texts()
    whole = page.locator("#compared tfoot .num").inner_text()
    assert sum(map(int, minutes)) == int(whole) > 0
    nothing_found_at(page, 390, 1280)
    page.get_by_role("link", name="Tuesday").focus()
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{served.origin}/day/2031-03-04")


@pytest.fixture
def slow(served: Served) -> Iterator[Served]:
    """The served app with a range that never comes to its end."""
    with slow_room(served, "holding_back", HoldingBackRoom(store_of(served.app), looked_and_deaf)) as slow:
        yield slow


def test_a_range_that_takes_long_is_cancelled_by_keyboard(slow: Served, open_page: Open) -> None:
    page = open_page(f"{slow.origin}/use/holding-back", role="administrator")
    page.locator("#first").fill("2031-03-04")
    page.locator("#last").fill("2031-03-04")
    cancelled_by_keyboard(page, "1 of 1 days looked at", "Stopped after 1 of 1 days")
    expect(page.locator("#compared table")).to_have_count(2)
    expect(page.locator("#compared tfoot .num")).to_have_text("50")
