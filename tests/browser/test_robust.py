"""How robust a plan is, in a real browser: asked for, followed and cancelled by keyboard, looked at by axe."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Page, expect

from app.services.use.robust import RobustRoom
from tests.app.clinic_days import store_of
from tests.app.test_robust import tried_and_deaf
from tests.browser.axe import nothing_found_at
from tests.browser.conftest import Served
from tests.browser.one_job import cancelled_by_keyboard, slow_room

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
    nothing_found_at(page, 390, 1280)


@pytest.fixture
def slow(served: Served) -> Iterator[Served]:
    """The served app with runs that never come to their end."""
    with slow_room(served, "robust", RobustRoom(store_of(served.app), tried_and_deaf)) as slow:
        yield slow


def test_runs_that_take_long_are_cancelled_by_keyboard(slow: Served, open_page: Open) -> None:
    page = open_page(f"{slow.origin}/use/robust", role="administrator")
    page.locator("#day").fill("2031-03-04")
    cancelled_by_keyboard(page, "1 of 25 steps done", "Stopped after 50 of 1000 runs")
    expect(page.locator("#compared table")).to_have_count(5)
