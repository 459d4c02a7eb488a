"""The pages of visits in a real browser: axe, the console (by ``open_page``), the keyboard, and narrow screens."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from app.services.visits.life import step
from tests.app.clinic_days import ADDRESS, DATE, plan_at_once, store_of
from tests.app.visit_pages import name_treatment, row_of
from tests.browser.axe import nothing_found_here
from tests.browser.conftest import PICTURES, Served

pytestmark = [pytest.mark.browser, pytest.mark.slow]
Open = Callable[..., Page]


def check(page: Page, name: str) -> None:
    """No fault that axe knows of, nothing wider than the screen, and a picture to look at."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    width = page.viewport_size["width"] if page.viewport_size else 0
    page.screenshot(path=PICTURES / f"{name}-{width}.png", full_page=True)
    nothing_found_here(page)


@pytest.mark.parametrize("width", [1280, 390])
def test_a_visit_is_told_cancelled_and_taken_back_by_keyboard(
    serve: Callable[..., Served], open_page: Open, width: int
) -> None:
    server = serve(plan_at_once)
    page = open_page(f"{server.origin}/visit/{row_of(server.app, 'V1')}", width, role="desk")
    page.get_by_role("button", name="Patient was told").press("Enter")
    expect(page.locator(".facts")).to_contain_text("09:00 on Rowan in F1 with Tess Ray")
    check(page, "visit")
    page.get_by_label("Reason").fill("Patient is ill")
    page.get_by_label("Reason").press("Enter")
    expect(page.locator(".facts")).to_contain_text("before it left the day")
    check(page, "visit-cancelled")
    page.get_by_role("button", name="Take back the last step").press("Enter")
    expect(page.locator(".facts b")).to_have_text("booked")
    page.get_by_role("link", name="Slip").press("Enter")
    expect(page.get_by_role("heading", name="Your appointment")).to_be_visible()
    check(page, "slip")
    page.locator("#copy").press("Enter")
    expect(page.locator("#copied")).not_to_be_empty()


@pytest.mark.parametrize("width", [1280, 390])
def test_the_waiting_list_and_the_calendars(
    serve: Callable[..., Served], open_page: Open, console_errors: list[str], width: int
) -> None:
    server = serve(plan_at_once)
    name_treatment(server.app)
    page = open_page(f"{server.origin}/waiting?date=2031-03-04", width)
    page.get_by_role("textbox", name="Patient").press_sequentially("dee")
    expect(page.locator(".found a.first")).to_contain_text("Dee Out")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Treatment", exact=True)).to_be_focused()
    assert "Dee" not in page.url
    page.get_by_label("Priority").fill("2")
    page.get_by_role("checkbox", name="Tuesday").check()
    page.get_by_role("button", name="Put on the list").press("Enter")
    expect(page.get_by_role("row", name="Dee Out")).to_contain_text("Tuesday, any hour")
    step(store_of(server.app), row_of(server.app, "V2"), "cancelled", "is ill", seen=0, actor="desk")
    page.goto(f"{server.origin}/waiting?date=2031-03-04")
    expect(page.locator("ol")).to_contain_text("Dee Out")
    check(page, "waiting")
    page.get_by_role("textbox", name="Patient").press_sequentially("out")
    expect(page.locator(".found a.first")).to_contain_text("Dee Out")
    page.keyboard.press("ArrowDown")
    expect(page.locator(".found a.first")).to_be_focused()
    check(page, "waiting-found")
    page.keyboard.press("Enter")
    page.get_by_label("Hours").fill("9")
    check(page, "waiting-form")
    page.get_by_role("button", name="Put on the list").press("Enter")
    expect(page.locator("#hours-fault")).not_to_be_empty()
    console_errors.clear()  # chromium reports every answer of 422 there
    page.goto(f"{server.origin}/feeds")
    page.get_by_role("button", name="Make the address").press("Enter")
    expect(page.locator("code")).to_contain_text("/feed/")
    check(page, "feeds")


@pytest.mark.parametrize("width", [1280, 390])
def test_a_proposal_is_looked_at_and_accepted(serve: Callable[..., Served], open_page: Open, width: int) -> None:
    server = serve(plan_at_once)
    page = open_page(f"{server.origin}{ADDRESS}/proposal", width)
    check(page, "no-proposal")
    server.planning.start(DATE, 5, actor="test")
    server.planning.wait(DATE, 20)
    page.reload()
    expect(page.get_by_role("row", name="Ann Early")).to_contain_text("5 min later")
    check(page, "proposal")
    page.get_by_role("button", name="Accept: save it").press("Enter")
    expect(page.locator(".version")).to_have_text("2")
