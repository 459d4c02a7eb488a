"""How robust a plan is, in a real browser: asked for, followed and cancelled by keyboard, looked at by axe."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import cast

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from app.routes.parts import Parts
from app.services.use.robust import RobustRoom
from tests.app.test_robust import tried_and_deaf
from tests.browser.conftest import Served
from tests.browser.test_day_page import RULES

pytestmark = pytest.mark.browser
Open = Callable[..., Page]


def test_a_plan_is_tried_out_and_shown_by_keyboard_alone(served: Served, open_page: Open) -> None:
    page = open_page(f"{served.origin}/use", 390, role="manager")
    page.get_by_role("link", name="How robust").focus()
    page.keyboard.press("Enter")
    page.locator("#day").fill("2031-03-04")
    page.locator("#runs").fill("200")
    page.locator("#seed").fill("3")
    page.locator("#late_share").fill("60")
    page.locator("#late_share").press("Enter")
    expect(page.locator("#compared .compared-ended")).to_have_text("Finished.", timeout=30_000)
    expect(page.locator("#look")).to_have_count(0)
    expect(page.locator("#compared > .lead").first).to_contain_text(
        "200 runs, seed 3. Late: 60 %, by 20.5 min on the average. Missed: 6.9 %."
    )
    expect(page.locator("#compared svg.picture rect")).not_to_have_count(0)
    summary = page.locator("summary", has_text="When the day ends")
    summary.focus()
    page.keyboard.press("Enter")
    runs = page.get_by_role("table", name="When the day ends").locator("tbody td:nth-child(2)").all_inner_texts()
    assert sum(map(int, runs)) == 200
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        results = Axe().run(page, options=RULES)
        assert results.violations_count == 0, results.generate_report()


@pytest.fixture
def slow(served: Served) -> Iterator[Served]:
    """The served app with runs that never come to their end."""
    parts = cast("Parts", served.app.state.parts)
    room = RobustRoom(parts.store, tried_and_deaf)
    served.app.state.parts = replace(parts, robust=room)
    yield served
    room.close()
    served.app.state.parts = parts


def test_runs_that_take_long_are_cancelled_by_keyboard(slow: Served, open_page: Open) -> None:
    page = open_page(f"{slow.origin}/use/robust", role="administrator")
    page.locator("#day").fill("2031-03-04")
    page.locator("main button.primary").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#compared")).to_contain_text("1 of 25 steps done", timeout=30_000)
    results = Axe().run(page, options=RULES)
    assert results.violations_count == 0, results.generate_report()
    page.locator("#cancel").focus()
    page.wait_for_timeout(1500)  # a look or two goes by, and the focus stays
    expect(page.locator("#cancel")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#compared .compared-ended")).to_contain_text("Stopped after 50 of 1000 runs", timeout=10_000)
    expect(page.locator("#compared table")).to_have_count(5)
