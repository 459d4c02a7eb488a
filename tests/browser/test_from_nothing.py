"""From an empty database to a solved first day, through the pages alone but for the booking itself."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from app.db.store import Store
from app.services.days import kept_day, new_day, save_day
from app.services.first_account import first_address
from solver.verify import verify
from tests.app.set_up_clinic import MONDAY, empty_clinic
from tests.browser.set_up_served import Served
from tests.builders import a_part, a_visit, hands_on, unattended

pytestmark = pytest.mark.browser
MOST_FIELDS, MOST_PAGES = 14, 15
"""What a person does within ten minutes even at twenty seconds a field and twenty a page."""
PASSWORD = "four quiet herons wade"


@dataclass
class Person:
    """Does what a person would, and counts it."""

    page: Page
    typed: list[str] = field(default_factory=list)
    pages: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.on("framenavigated", lambda frame: self.pages.append(frame.url))

    def type(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).fill(text)
        self.typed.append(label)

    def follow(self, name: str) -> None:
        self.page.get_by_role("link", name=name, exact=True).first.click()

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()

    def save(self) -> None:
        self.press("Save")
        expect(self.page.locator("#done")).to_contain_text("Saved:")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    made = empty_clinic(tmp_path)
    yield made
    made.close()


@pytest.fixture
def served(store: Store) -> Iterator[Served]:
    server = Served(store)
    yield server
    server.stop()


def test_a_first_day_is_set_up_and_planned(browser: Browser, served: Served, store: Store) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    person = Person(context.new_page())
    page = person.page
    page.goto(f"{served.origin}/once/{first_address(store)}")
    person.type("New password", PASSWORD)
    person.type("The same again", PASSWORD)
    person.press("Set the password")
    person.follow("Set-up")

    person.follow("opening hours")
    person.type("Opening hours on Monday", "8:00-17:00")
    person.press("As on Monday, until Friday")
    person.save()

    person.follow("a place")
    person.type("Code", "front")
    person.type("Bays", "F1, F2")
    person.save()

    person.follow("One ultrasound and two channels for pads or cups with a pump, on battery (invented)")
    person.type("Code", "U1")
    page.get_by_label("front").check()
    person.typed.append("Places")
    person.save()

    person.follow("somebody of the staff")
    person.type("Code", "TH1")
    person.type("Breaks on Monday", "30 in 12:00-14:00")
    person.type("Watches with free hands", "2")
    person.press("As on Monday, until Friday")
    person.save()
    expect(page.get_by_text("A first day still needs")).to_have_count(0)

    person.follow("Add an applicator")
    person.type("Code", "heads")
    person.type("Items", "head-1, head-2")
    person.save()

    day = new_day(store, MONDAY)
    assert day is not None
    part = a_part(hands_on(10), unattended(15), channels={"ultrasound": 1}, applicators={"heads": 1})
    visits = tuple(a_visit(part, id=f"V{n}", patient=f"P{n}", wish="09:00") for n in range(6))
    save_day(store, replace(day, visits=visits), None, read=0, actor="desk")

    page.goto(f"{served.origin}/day/{MONDAY}")
    person.type("Seconds", "3")
    person.press("Plan again")
    expect(page.locator("#plan-again .progress")).to_be_visible()
    page.wait_for_function("() => document.querySelectorAll('#timeline [data-visit]').length >= 6", timeout=30_000)
    context.close()

    kept = kept_day(store, MONDAY)
    assert kept is not None
    assert kept.plan is not None
    assert sorted(visit.id for visit in kept.plan.visits) == [visit.id for visit in visits]
    assert verify(kept.day, kept.plan) == []
    assert len(person.typed) <= MOST_FIELDS, person.typed
    assert len(person.pages) <= MOST_PAGES, person.pages
