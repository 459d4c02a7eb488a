"""The Floor in a real browser: read, pressed with a finger or by keyboard, without a connection, on two screens."""

import re
import time
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.app.clinic_days import DATE, plan_at_once
from tests.browser.axe import nothing_found
from tests.browser.conftest import PICTURES, Served

pytestmark = pytest.mark.browser
Open = Callable[..., Page]
FLOOR = f"/floor/{DATE}"
SECOND_S = 2.0
"""A second, and what a machine that runs other tests beside may add to it."""


class Moving:
    """The clinic's clock: it goes on from five to nine."""

    def __init__(self) -> None:
        self.began = time.monotonic()
        self.first = datetime.combine(DATE, datetime.strptime("08:55", "%H:%M").time())

    def __call__(self) -> datetime:
        return self.first + timedelta(seconds=time.monotonic() - self.began)


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[Served]:
    server = Served(tmp_path, plan_at_once, Moving())
    yield server
    server.stop()


def board(floor: Served, open_page: Open, width: int = 1280) -> Page:
    page = open_page(floor.origin + FLOOR, width, role="therapist")
    page.wait_for_timeout(500)  # until it listens
    return page


def start_ann(page: Page) -> None:
    """Arrived, decided, started: Ann Early's visit runs."""
    page.locator(".card", has_text="AE").get_by_role("button", name="Arrived").click()
    page.locator(".card", has_text="AE").get_by_role("link", name="Ask and decide").click()
    page.get_by_label("Clinician who decides").fill("Tess Ray")
    page.get_by_role("button", name="Go ahead").click()
    page.locator(".card-do.big").get_by_role("button", name="Start").click()
    expect(page.locator(".part-now .state")).to_have_text("running")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 768, 390])
def test_axe_finds_nothing_and_nothing_runs_over(floor: Served, open_page: Open, width: int, scheme: str) -> None:
    page = open_page(floor.origin + FLOOR, width, scheme, role="therapist")
    start_ann(page)
    for name in ("visit", "board", "late", "handover"):
        address = {"board": FLOOR, "late": f"{FLOOR}/late", "handover": f"{FLOOR}/handover"}.get(name)
        if address is not None:
            page.goto(floor.origin + address)
        nothing_found(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        PICTURES.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=PICTURES / f"floor-{name}-{scheme}-{width}.png", full_page=True)


@pytest.mark.parametrize("width", [768, 390])
def test_what_is_pressed_is_44_px_or_more(floor: Served, open_page: Open, width: int) -> None:
    page = board(floor, open_page, width)
    start_ann(page)
    for address in (None, FLOOR, f"{FLOOR}/late", f"{FLOOR}/handover"):
        if address is not None:
            page.goto(floor.origin + address)
        small = page.evaluate(
            """[...document.querySelectorAll("main :is(button, .button, summary, select, input:not([type=hidden]))")]
            .filter((one) => one.offsetParent && !one.matches("[type=radio], .skip"))
            .filter((one) => one.getBoundingClientRect().height < 44)
            .map((one) => one.outerHTML.slice(0, 80))"""
        )
        assert small == []


def test_a_visit_is_run_by_keyboard_alone(floor: Served, open_page: Open) -> None:
    page = board(floor, open_page)

    def go_to(selector: str) -> None:
        """By Tab, as somebody without a mouse would."""
        for _ in range(200):
            page.keyboard.press("Tab")
            if page.evaluate("(selector) => document.activeElement.matches(selector)", selector):
                return
        raise AssertionError(f"{selector} is never reached")

    go_to(".card-do button")
    page.keyboard.press("Enter")
    expect(page.locator(".card.waiting")).to_have_count(1)
    go_to(".card.waiting .card-do a")
    page.keyboard.press("Enter")
    page.wait_for_url("**/visit/*")
    go_to("#by")
    page.keyboard.type("Tess Ray")
    go_to("button[value=go]")
    page.keyboard.press("Enter")
    expect(page.locator(".decision")).to_contain_text("Go ahead")
    go_to(".card-do.big button")
    page.keyboard.press("Enter")
    expect(page.locator(".part-now .state")).to_have_text("running")
    go_to(".card-do.big button")
    page.keyboard.press("Enter")
    expect(page.locator(".part-now")).to_contain_text("phase 2 of 3")


def test_it_counts_down_against_the_servers_time(floor: Served, open_page: Open) -> None:
    page = board(floor, open_page)
    start_ann(page)
    shown = page.locator(".part-now .countdown")

    def seconds() -> int:
        minutes, rest = (shown.text_content() or "").split(":")
        return int(minutes) * 60 + int(rest)

    first = seconds()
    assert 280 <= first <= 300
    page.wait_for_timeout(2_100)
    assert first - 4 <= seconds() <= first - 1


def test_two_screens_show_the_same_within_a_second(floor: Served, open_page: Open) -> None:
    one, other = board(floor, open_page), board(floor, open_page, 768)
    one.locator(".card", has_text="AE").get_by_role("button", name="Arrived").click()
    pressed = time.monotonic()
    expect(other.locator(".card.waiting")).to_have_count(1, timeout=5_000)
    assert time.monotonic() - pressed < SECOND_S


def test_a_press_without_a_connection_waits_and_is_sent_once(
    floor: Served, open_page: Open, console_errors: list[str]
) -> None:
    page = board(floor, open_page)
    page.context.set_offline(True)
    page.locator(".card", has_text="AE").get_by_role("button", name="Arrived").click()
    expect(page.locator("#waiting")).to_have_text("No connection: 1 press waits and will be sent.")
    page.context.set_offline(False)
    expect(page.locator(".card.waiting")).to_have_count(1, timeout=8_000)
    expect(page.locator("#waiting")).to_be_hidden()
    expect(page.locator(".presses li", has_text="Ann Early: arrived")).to_have_count(1)
    assert page.evaluate("localStorage.getItem('channelday-presses')") == "[]"
    console_errors[:] = [line for line in console_errors if "ERR_INTERNET_DISCONNECTED" not in line]


def test_what_waits_names_no_patient_and_is_not_sent_for_somebody_else(
    floor: Served, open_page: Open, console_errors: list[str]
) -> None:
    page = board(floor, open_page)
    page.context.set_offline(True)
    page.locator(".card", has_text="AE").get_by_role("button", name="Arrived").click()
    expect(page.locator("#waiting")).to_be_visible()
    kept = page.evaluate("localStorage.getItem('channelday-presses')")
    assert "Ann" not in kept
    assert '"who":"therapist"' in kept
    page.evaluate("document.querySelector('main').dataset.who = 'somebody else'")
    page.context.set_offline(False)
    page.wait_for_timeout(3_000)
    assert page.evaluate("localStorage.getItem('channelday-presses')") == kept
    console_errors[:] = [line for line in console_errors if "ERR_INTERNET_DISCONNECTED" not in line]


def test_a_refused_press_says_why_and_is_forgotten(floor: Served, open_page: Open, console_errors: list[str]) -> None:
    page = board(floor, open_page)
    page.get_by_role("button", name="Out of service now").click()
    expect(page.locator("#faults")).to_contain_text("nothing stands here; give why")
    assert page.evaluate("localStorage.getItem('channelday-presses')") == "[]"
    console_errors[:] = [line for line in console_errors if "422" not in line]


def test_a_delay_is_looked_at_and_a_repair_taken_by_keyboard(floor: Served, open_page: Open) -> None:
    page = board(floor, open_page)
    page.goto(f"{floor.origin}{FLOOR}/late")
    expect(page.locator(".late-words")).to_contain_text("moves any visit")
    page.goto(floor.origin + FLOOR)
    page.locator(".card", has_text="AE").get_by_role("link", name="More").click()
    page.get_by_label("expected at").fill("09:25")
    page.keyboard.press("Enter")
    expect(page.locator(".presses")).to_contain_text("is late, expected at 09:25")
    page.get_by_role("link", name="Floor").last.click()
    expect(page.locator(".late-banner")).to_contain_text("the most by 25 minutes")
    page.locator(".late-banner a").click()
    expect(page.get_by_role("button", name="Make the repair the plan")).to_be_visible(timeout=12_000)
    expect(page.locator("table")).to_contain_text("09:25, 25 min later")
    page.get_by_role("button", name="Make the repair the plan").focus()
    page.keyboard.press("Enter")
    page.wait_for_url(f"**{FLOOR}")
    expect(page.locator(".late-banner")).to_have_count(0)


def test_the_name_shows_on_a_tap(floor: Served, open_page: Open) -> None:
    page = board(floor, open_page, 768)
    card = page.locator(".card", has_text="AE")
    expect(card.get_by_text("Ann Early")).to_be_hidden()
    card.locator("summary").click()
    expect(card.get_by_text("Ann Early")).to_be_visible()


def test_the_sound_is_off_until_it_is_turned_on(floor: Served, open_page: Open) -> None:
    page = board(floor, open_page)
    button = page.locator("#sound")
    expect(button).to_have_attribute("aria-pressed", "false")
    button.click()
    expect(button).to_have_attribute("aria-pressed", "true")
    page.reload()
    expect(button).to_have_text("Sound on")


def test_everything_works_without_scripts(floor: Served, open_page: Open) -> None:
    page = open_page(floor.origin + FLOOR, script=False, role="therapist")
    page.locator(".card", has_text="AE").get_by_role("button", name="Arrived").click()
    page.locator(".card", has_text="AE").get_by_role("link", name="Ask and decide").click()
    page.get_by_label("Clinician who decides").fill("Tess Ray")
    page.get_by_role("button", name="Go ahead").click()
    page.locator(".card-do.big").get_by_role("button", name="Start").click()
    assert re.search(r"running", page.locator(".part-now .state").inner_text(), re.IGNORECASE)
