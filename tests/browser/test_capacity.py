"""Capacity in a real browser: reached and asked for by keyboard, and looked at by axe on wide and narrow screens."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import nothing_found, nothing_found_at
from tests.browser.conftest import Served

pytestmark = pytest.mark.browser
Open = Callable[..., Page]


def test_it_is_asked_for_by_keyboard_alone_and_each_picture_has_its_table(served: Served, open_page: Open) -> None:
    page = open_page(f"{served.origin}/use", 390, role="manager")
    page.get_by_role("link", name="Capacity").focus()
    page.keyboard.press("Enter")
    weeks = page.get_by_role("spinbutton", name="Weeks")
    expect(weeks).to_have_value("8")
    weeks.fill("3")
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{served.origin}/use/capacity?weeks=3")
    pictures = page.locator("svg.picture")
    expect(pictures).not_to_have_count(0)
    for number in range(pictures.count()):
        expect(pictures.nth(number).locator("rect")).to_have_count(2 * 3)
    summary = page.locator("summary", has_text="Pads by week: the table")
    summary.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("region", name="Pads by week").get_by_role("rowheader")).to_have_count(3)
    nothing_found_at(page, 390, 1280)
    page.get_by_role("link", name="With every table, to print").focus()
    page.keyboard.press("Enter")
    expect(page.locator("details:not([open])")).to_have_count(0)
    nothing_found(page)
