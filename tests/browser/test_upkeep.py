"""Upkeep in a real browser: noted and taken back by keyboard, looked at by axe, and seen in the rooms of a day."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import nothing_found_at
from tests.browser.conftest import Served

pytestmark = pytest.mark.browser
Open = Callable[..., Page]


def _no_faults(page: Page) -> None:
    nothing_found_at(page, 390, 1280)


def test_it_is_noted_by_keyboard_alone_seen_on_the_day_and_taken_back(served: Served, open_page: Open) -> None:
    page = open_page(f"{served.origin}/use", 390, role="manager")
    page.get_by_role("link", name="Upkeep").focus()
    page.keyboard.press("Enter")
    page.locator("#thing").select_option("unit:U1")
    page.locator("#kind").select_option("safety test")
    page.locator("#done").fill("2020-03-01")
    page.locator("#due").fill("2021-03-01")
    page.locator("main button.primary").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".upkeep-due .overdue")).to_have_text(
        "▲ Rowan: safety test overdue, it was to be done by 1 March 2021"
    )
    _no_faults(page)
    page.goto(served.address)
    expect(page.locator("[data-unit=U1] .upkeep-due .overdue")).to_contain_text("Rowan: safety test overdue")
    assert page.evaluate(
        "getComputedStyle(document.querySelector('.upkeep-due .overdue'), '::before').backgroundImage"
    ).startswith("repeating-linear-gradient")
    _no_faults(page)
    page.goto(f"{served.origin}/floor/2031-03-04")
    expect(page.locator(".unit-card .upkeep-due .overdue")).to_contain_text("Rowan: safety test overdue")
    page.locator("[name=kind][value=battery_empty]").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".presses li").first).to_contain_text("Rowan: battery empty")
    _no_faults(page)
    page.goto(f"{served.origin}/use/upkeep")
    page.get_by_role("button", name="Take back: Rowan: safety test").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#due-now ~ p").first).to_have_text("Nothing that is noted is due.")
