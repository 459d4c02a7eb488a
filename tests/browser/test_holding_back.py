"""What holds us back in a real browser: asked for and followed by keyboard, looked at by axe."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import cast

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from app.routes.parts import Parts
from app.services.use.holding_back import HoldingBackRoom
from tests.app.test_holding_back import looked_and_deaf
from tests.browser.conftest import Served
from tests.browser.test_day_page import RULES

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
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        results = Axe().run(page, options=RULES)
        assert results.violations_count == 0, results.generate_report()
    page.get_by_role("link", name="Tuesday").focus()
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{served.origin}/day/2031-03-04")


@pytest.fixture
def slow(served: Served) -> Iterator[Served]:
    """The served app with a range that never comes to its end."""
    parts = cast("Parts", served.app.state.parts)
    room = HoldingBackRoom(parts.store, looked_and_deaf)
    served.app.state.parts = replace(parts, holding_back=room)
    yield served
    room.close()
    served.app.state.parts = parts


def test_a_range_that_takes_long_is_cancelled_by_keyboard(slow: Served, open_page: Open) -> None:
    page = open_page(f"{slow.origin}/use/holding-back", role="administrator")
    page.locator("#first").fill("2031-03-04")
    page.locator("#last").fill("2031-03-04")
    page.locator("main button.primary").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#compared")).to_contain_text("1 of 1 days looked at", timeout=30_000)
    results = Axe().run(page, options=RULES)
    assert results.violations_count == 0, results.generate_report()
    page.locator("#cancel").focus()
    page.wait_for_timeout(1500)  # a look or two goes by, and the focus stays
    expect(page.locator("#cancel")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#compared .compared-ended")).to_contain_text("Stopped after 1 of 1 days", timeout=10_000)
    expect(page.locator("#compared table")).to_have_count(2)
    expect(page.locator("#compared tfoot .num")).to_have_text("50")
