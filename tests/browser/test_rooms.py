"""The plain rooms in a real browser: sign-in, accounts, audit, treatments, patients, CSV, and what is refused."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from app.roles import Role
from app.services.accounts import make_account
from app.services.treatments.writing import make_treatment
from tests.app.clinic_days import store_of
from tests.browser.axe import nothing_found
from tests.browser.conftest import PICTURES, Served

pytestmark = pytest.mark.browser
Open = Callable[..., Page]
PAGES: dict[str, tuple[str, Role | None]] = {
    "sign-in": ("/sign-in", None),
    "password": ("/password", "desk"),
    "accounts": ("/accounts", "administrator"),
    "audit": ("/audit", "manager"),
    "treatments": ("/treatments", "therapist"),
    "treatment": ("/treatments/form?start=5", "therapist"),
    "patients": ("/patients", "desk"),
    "patient": ("/patients/1", "therapist"),
    "course": ("/patients/1/course", "therapist"),
    "csv": ("/set-up/csv/staff", "manager"),
    "closed": ("/day/2031-03-05", "desk"),
}


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("name", PAGES)
def test_axe_finds_nothing_and_nothing_runs_over(
    served: Served, open_page: Open, name: str, width: int, scheme: str
) -> None:
    address, role = PAGES[name]
    page = open_page(served.origin + address, width, scheme, role=role)
    nothing_found(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    PICTURES.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=PICTURES / f"{name}-{scheme}-{width}.png", full_page=True)


@pytest.mark.parametrize("name", PAGES)
def test_controls_are_24_px_or_more(served: Served, open_page: Open, name: str) -> None:
    address, role = PAGES[name]
    page = open_page(served.origin + address, 390, role=role)
    small = page.eval_on_selector_all(
        "button, .button, select, input:not([type=hidden]), .shell a, summary",
        """all => all.filter(one => one.offsetParent && !one.matches(".visually-hidden, .visually-hidden *")
            && (one.offsetHeight < 24 || one.offsetWidth < 20)).map(one => one.outerHTML.slice(0, 80))""",
    )
    assert small == []


def test_a_person_is_let_in_and_out_by_keyboard_alone(served: Served, open_page: Open) -> None:
    store = store_of(served.app)
    token = make_account(store, "keyboard", "desk", actor="test")
    page = open_page(f"{served.origin}/once/{token}", role=None)
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.type("three plums on a shelf")
    page.keyboard.press("Tab")
    page.keyboard.type("three plums on a shelf")
    page.keyboard.press("Enter")
    expect(page.locator(".me")).to_contain_text("keyboard, front desk")
    for _ in range(12):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent") == "Sign out":
            break
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("Sign in")
    page.locator("#name").focus()
    page.keyboard.type("keyboard")
    page.keyboard.press("Tab")
    page.keyboard.type("three plums on a shelf")
    page.keyboard.press("Enter")
    expect(page.locator(".me")).to_contain_text("keyboard")


def test_patients_are_found_while_one_types(served: Served, open_page: Open) -> None:
    page = open_page(f"{served.origin}/patients", role="desk")
    expect(page.locator("#typed")).to_be_focused()
    page.keyboard.type("bea")
    expect(page.locator("#found tr")).to_have_count(1)
    expect(page.locator("#found")).to_contain_text("Bea Later")
    assert "bea" not in page.url.lower()


def test_a_treatment_is_written_by_keyboard_alone(served: Served, open_page: Open) -> None:
    page = open_page(f"{served.origin}/treatments/form?start=1", role="therapist")
    page.locator("#name").focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("By keyboard")
    for number, minutes in enumerate(("5", "20", "3")):
        page.locator(f"[name='parts[0].phases[{number}].min']").focus()
        page.keyboard.type(minutes)
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("Treatments")
    expect(page.locator("tbody")).to_contain_text("By keyboard")


def test_faults_of_a_form_are_told_to_those_who_do_not_see_them(
    served: Served, open_page: Open, console_errors: list[str]
) -> None:
    page = open_page(f"{served.origin}/treatments/form?start=1", role="therapist")
    page.get_by_role("button", name="Save", exact=True).last.click()
    field = page.locator("[name='parts[0].phases[0].min']")
    expect(field).to_have_attribute("aria-invalid", "true")
    described = field.get_attribute("aria-describedby") or ""
    assert page.locator(f"[id='{described.split()[-1]}']").inner_text()
    assert [error for error in console_errors if "422" not in error] == []
    console_errors.clear()  # chromium reports every answer of 422 there


def test_a_treatment_that_is_known_is_shown_to_the_desk_without_buttons(served: Served, open_page: Open) -> None:
    part = {"id": "pads", "channels": {"pads": "1"}, "phases": [{"min": "9", "hands": "therapist", "running": True}]}
    id = make_treatment(store_of(served.app), {"name": "For the desk", "parts": [part]}, actor="test")
    page = open_page(f"{served.origin}/treatments/form?id={id}", role="desk")
    expect(page.locator("#name")).to_have_value("For the desk")
    assert page.locator("main button:visible").count() == 0
