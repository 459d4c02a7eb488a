"""One more of something in a real browser: asked for and followed by keyboard, looked at by axe."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date

import pytest
from playwright.sync_api import Page, expect

from app.services.days import save_day
from app.services.use.one_more import OneMoreRoom
from tests.app.clinic_days import a_clinic_day, store_of
from tests.app.test_one_more import compared_and_deaf
from tests.browser.axe import nothing_found, nothing_found_at
from tests.browser.conftest import Served
from tests.browser.one_job import cancelled_by_keyboard, slow_room

pytestmark = pytest.mark.browser
Open = Callable[..., Page]


def test_a_comparison_is_asked_for_and_shown_by_keyboard_alone(served: Served, open_page: Open) -> None:
    page = open_page(f"{served.origin}/use/one-more", 390, role="manager")
    page.locator("#day").fill("2031-03-04")
    page.locator("#seconds").fill("1")
    page.locator("[name=kinds][value=channel]").focus()
    page.keyboard.press("Space")
    page.locator("[name=kinds][value='unit away']").focus()
    page.keyboard.press("Space")
    page.locator("main button.primary").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#compared .compared-ended")).to_have_text("Finished.", timeout=30_000)
    expect(page.locator("#look")).to_have_count(0)
    worth = page.get_by_role("table", name="What each is worth")
    expect(worth.locator("tbody tr")).to_have_count(2)
    expect(page.get_by_role("table", name="What becomes of whom").locator("tbody th").first).to_have_text("Ann Early")
    nothing_found_at(page, 390, 1280)


def test_the_days_of_a_week_are_chosen_by_keyboard_and_stand_one_by_one(served: Served, open_page: Open) -> None:
    store = store_of(served.app)
    save_day(store, replace(a_clinic_day(), date=date(2031, 3, 6)), None, read=0, actor="test")
    page = open_page(f"{served.origin}/use", role="manager")
    page.get_by_role("link", name="One more").focus()
    page.keyboard.press("Enter")
    page.locator("#day").fill("2031-03-05")
    page.locator("#span").focus()
    page.keyboard.type("Monday to S")
    page.locator("#seconds").fill("1")
    for kind in ("channel", "unit away"):
        page.locator(f"[name=kinds][value='{kind}']").set_checked(False)
    page.locator("[name=kinds][value=bay]").focus()
    page.keyboard.press("Space")
    page.locator("main button.primary").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#compared h2")).to_have_text("Tuesday 4 March 2031 to Thursday 6 March 2031")
    expect(page.locator("#compared .compared-ended")).to_have_text("Finished.", timeout=30_000)
    page.locator("summary", has_text="Day by day").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("table", name="Day by day").locator("tbody tr")).to_have_count(4)
    nothing_found(page)


@pytest.fixture
def slow(served: Served) -> Iterator[Served]:
    """The served app with a comparison that never comes to its end."""
    with slow_room(served, "one_more", OneMoreRoom(store_of(served.app), compared_and_deaf)) as slow:
        yield slow


def test_a_comparison_that_takes_long_is_cancelled_by_keyboard(slow: Served, open_page: Open) -> None:
    page = open_page(f"{slow.origin}/use/one-more", role="administrator")
    page.locator("#day").fill("2031-03-04")
    cancelled_by_keyboard(page, "2 of 5 searches done", "Stopped")
    expect(page.get_by_role("table", name="What each is worth").locator("tbody tr")).to_have_count(2)
