"""One more of something in a real browser: asked for and followed by keyboard, looked at by axe."""

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import Served
from tests.browser.test_day_page import RULES

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
    expect(page.locator("#cancel")).to_be_visible()
    page.locator("#cancel").focus()
    page.wait_for_timeout(1500)  # a look or two goes by, and the focus stays
    expect(page.locator("#cancel")).to_be_focused()
    expect(page.locator("#compared .compared-ended")).to_have_text("Finished.", timeout=30_000)
    expect(page.locator("#look")).to_have_count(0)
    expect(page.locator("#compared tbody tr")).to_have_count(2)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        results = Axe().run(page, options=RULES)
        assert results.violations_count == 0, results.generate_report()
