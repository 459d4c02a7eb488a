"""The Openings page in a real browser: by keyboard alone, two desks after one slot, without script, and by axe."""

import socket
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from app.main import close_app
from app.routes.access import COOKIE
from app.services.courses import prescribe
from app.services.days import kept_day
from app.services.patients import make_patient
from app.services.visits.about import visit_ids
from app.services.visits.life import step
from app.services.visits.waiting import WaitingForm, put_on, waiting_list
from app.serving import Server
from tests.app.clinic_days import session_of
from tests.app.openings_clinic import Clinic, clinic_in
from tests.browser.axe import nothing_found
from tests.browser.conftest import PICTURES, RUNNING
from tests.data.front_desk import limits
from tests.data.set_up_clinic import MONDAY

pytestmark = pytest.mark.browser
Open = Callable[..., Page]
MOST_KEYS = 8
CHOSEN = "&wish=10:00&date=2031-03-10&at=10:00"


class Room:
    """The clinic of the tests, served at ``origin``."""

    def __init__(self, folder: Path) -> None:
        self.clinic: Clinic = clinic_in(folder)
        self._socket = socket.socket()
        self._socket.bind(("127.0.0.1", 0))
        self.origin = f"http://127.0.0.1:{self._socket.getsockname()[1]}"
        RUNNING[self.origin] = self.clinic.app
        self._server = Server(self.clinic.app, lambda: close_app(self.clinic.app))
        self._thread = threading.Thread(target=self._server.run, kwargs={"sockets": [self._socket]}, daemon=True)
        self._thread.start()
        while not self._server.started:
            time.sleep(0.01)

    def ask(self, more: str = "", patient: int | None = None) -> str:
        return self.origin + self.clinic.ask(more, patient)

    def stop(self) -> None:
        self._server.should_exit = True
        self._thread.join(10)
        self._socket.close()


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    served = Room(tmp_path)
    yield served
    served.stop()


def test_a_known_patient_is_booked_by_keyboard_in_a_few_presses(room: Room, open_page: Open) -> None:
    page = open_page(f"{room.origin}/openings", role="desk")
    pressed = []

    def press(key: str) -> None:
        pressed.append(key)
        page.keyboard.press(key)

    page.keyboard.type("ann")
    expect(page.locator(".found a.first")).to_contain_text("Ann Early")
    press("Enter")
    expect(page.locator("#what")).to_be_focused()
    press("k")
    expect(page.locator("#answers .offers a.first")).to_contain_text("Mon 3 Mar 12:00–12:20")
    press("Enter")
    press("Enter")
    expect(page.locator("#book")).to_be_focused()
    press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("Ann Early: Mon 3 Mar at 12:00.")
    assert len(pressed) <= MOST_KEYS
    assert "Ann" not in page.url
    expect(page.locator("#next-patient")).to_be_focused()
    page.locator("#undo").click()
    expect(page.get_by_text("The booking is taken out again.")).to_be_visible()


def test_offers_come_as_one_types(room: Room, open_page: Open) -> None:
    page = open_page(room.ask(), role="desk")
    page.locator("[name=wish]").fill("1500")
    expect(page.locator("#answers .offers a.first")).to_contain_text("15:00–15:20")
    assert "wish=1500" in page.url
    page.locator("[name=why_date]").fill("2031-03-10")
    page.locator("[name=why]").fill("18")
    expect(page.locator(".why")).to_contain_text("Mon 10 Mar at 18:00 cannot be had")


def test_two_desks_after_one_slot(room: Room, browser: Browser, open_page: Open, console_errors: list[str]) -> None:
    """One gets it; the other is told in the same click who took what, with the next offers and the form kept."""
    desks = {"desk": room.clinic.desk.ann, "manager": room.clinic.desk.bea}
    second = browser.browser_type.launch(
        executable_path="/usr/bin/chromium", args=["--headless=new", "--no-sandbox", "--disable-gpu"]
    )
    try:
        pages = {"desk": open_page(room.ask(CHOSEN), role="desk")}
        context = second.new_context()
        token = session_of(room.clinic.app, "manager")
        context.add_cookies([{"name": COOKIE, "value": token, "url": room.origin}])
        pages["manager"] = context.new_page()
        pages["manager"].goto(room.ask(CHOSEN, desks["manager"]))
        for page in pages.values():
            expect(page.locator("#book")).to_be_visible()
        for page in pages.values():
            page.evaluate("setTimeout(() => document.querySelector('#book').click(), 50)")
        for page in pages.values():
            expect(page.locator("#told")).to_be_visible()
        told = {role: page.locator("#told").inner_text() for role, page in pages.items()}
        assert sorted(told.values()) == ["Booked", "Somebody else was faster"]
        winner = next(role for role, title in told.items() if title == "Booked")
        late = next(page for role, page in pages.items() if role != winner)
        name = "Ann Early" if winner == "desk" else "Bea Later"
        expect(late.locator(".trouble")).to_contain_text(f"held by {name}, booked just now by {winner}")
        expect(late.locator("[name=wish]")).to_have_value("10:00")
        expect(late.locator(".trouble .offers a.first")).to_be_focused()
        late.keyboard.press("Enter")
        expect(late.locator("#book")).to_be_focused()
        late.keyboard.press("Enter")
        expect(late.locator("#told")).to_have_text("Booked")
    finally:
        second.close()
    known = kept_day(room.clinic.desk.store, MONDAY)
    assert known is not None
    assert known.plan is not None
    assert len(known.plan.visits) == 2
    console_errors[:] = [line for line in console_errors if "409" not in line]


def test_who_waits_is_chosen_put_on_booked_and_put_back_by_undo(room: Room, open_page: Open) -> None:
    page = open_page(f"{room.origin}/waiting", role="desk")
    page.get_by_role("textbox", name="Patient").press_sequentially("bea")
    expect(page.locator(".found a.first")).to_contain_text("Bea Later")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Treatment", exact=True)).to_be_focused()
    page.get_by_role("button", name="Put on the list").press("Enter")
    page.get_by_role("link", name="Look for an opening for Bea Later").press("Enter")
    expect(page.get_by_text("From the waiting list")).to_be_visible()
    page.wait_for_load_state()  # nobody types before the scripts are there
    page.locator("[name=wish]").fill("1500")
    expect(page.locator("#answers .offers a.first")).to_contain_text("15:00–15:20")
    page.locator("#answers .offers a.first").press("Enter")
    page.locator("#book").press("Enter")
    expect(page.get_by_text("Off the waiting list.")).to_be_visible()
    assert waiting_list(room.clinic.desk.store) == []
    page.locator("#undo").press("Enter")
    expect(page.get_by_text("On the waiting list again.")).to_be_visible()
    assert [line.patient for line in waiting_list(room.clinic.desk.store)] == ["Bea Later"]


def test_all_of_it_works_without_script(room: Room, open_page: Open) -> None:
    page = open_page(f"{room.origin}/openings", script=False, role="desk")
    page.locator("#patient-typed").fill("bea")
    page.get_by_role("button", name="Find").click()
    page.locator("#what").select_option(label="Knee pads")
    page.get_by_role("button", name="Show openings").click()
    page.locator("#answers .offers a").first.click()
    page.locator("#book").click()
    expect(page.locator("#told")).to_have_text("Booked")
    page.locator("#undo").click()
    expect(page.locator("#told")).to_have_text("Undone")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("more", ["", CHOSEN, "&why_date=2031-03-10&why=1010&room=2031-03-10", "&walk=1"])
def test_axe_finds_nothing(room: Room, open_page: Open, more: str, width: int, scheme: str) -> None:
    room.clinic.desk.booked(limits(1, wish=600), room.clinic.desk.bea)
    page = open_page(room.ask(more), width, scheme)
    nothing_found(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    PICTURES.mkdir(parents=True, exist_ok=True)
    name = {"": "list", CHOSEN: "chosen"}.get(more, more[1:5])
    page.screenshot(path=PICTURES / f"openings-{name}-{width}-{scheme}.png", full_page=True)


def sound(page: Page) -> None:
    """No fault that axe knows of, and nothing wider than the screen."""
    nothing_found(page)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def posts_of(page: Page) -> list[str]:
    """Where the page sends forms to, as it does."""
    sent: list[str] = []
    page.on("request", lambda one: sent.append(one.url.split("/", 3)[3]) if one.method == "POST" else None)
    return sent


def test_enter_held_down_sends_a_form_once(room: Room, open_page: Open) -> None:
    page = open_page(room.ask(CHOSEN), role="desk")
    sent = posts_of(page)
    page.evaluate("for (let n = 0; n < 3; n++) document.querySelector('#book').click()")
    expect(page.locator("#told")).to_have_text("Booked")
    assert sent == ["openings/book"]
    page.go_back()
    expect(page.locator("#told")).to_have_text("That start is not free any more")
    expect(page.get_by_role("region", name="Booked already")).to_contain_text("Mon 10 Mar 10:00, Knee pads")
    known = kept_day(room.clinic.desk.store, MONDAY)
    assert known is not None
    assert len(known.day.visits) == 1


@pytest.mark.parametrize("width", [1280, 390])
def test_whoever_waits_is_booked_into_what_became_free_by_keyboard(room: Room, open_page: Open, width: int) -> None:
    """The date that was typed stays, though nobody pressed Show, whoever is chosen."""
    booked = room.clinic.desk.booked(limits(1, wish=600), room.clinic.desk.bea)
    (id,) = visit_ids(room.clinic.desk.store, booked.date).values()
    step(room.clinic.desk.store, id, "cancelled", "is ill", seen=0, actor="desk")
    page = open_page(f"{room.origin}/waiting", width, role="desk")
    page.get_by_role("textbox", name="Date").fill("2031-03-10")
    page.get_by_role("textbox", name="Patient").press_sequentially("ann")
    expect(page.locator(".found a.first")).to_contain_text("Ann Early")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Treatment", exact=True)).to_be_focused()
    expect(page.get_by_role("textbox", name="Date")).to_have_value("2031-03-10")
    page.get_by_label("Hours").fill("9:00-12:00")
    page.get_by_label("Hours").press("Enter")
    fit = page.locator("ol").get_by_role("link", name="Look for an opening for Ann Early")
    expect(fit).to_be_visible()
    sound(page)
    change = page.get_by_role("link", name="Change Ann Early")
    box = change.bounding_box()
    assert box is not None
    assert box["x"] + box["width"] <= width
    fit.press("Enter")
    expect(page.locator("#book")).to_be_focused()
    expect(page.locator(".chosen")).to_contain_text("Ann Early: Monday 10 March 2031, 10:00–10:20")
    expect(page.locator("[name=before]")).to_have_value("12:00")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Off the waiting list.")).to_be_visible()


@pytest.mark.parametrize("width", [1280, 390])
def test_all_sessions_of_a_course_by_keyboard(room: Room, open_page: Open, width: int) -> None:
    desk, form = room.clinic.desk, {"sessions": "3", "least_days": "2", "most_days": "4", "prescribed_by": "Dr Example"}
    prescribe(desk.store, desk.ann, room.clinic.treatment, form, prescribed_on=MONDAY, actor="test")
    put_on(desk.store, WaitingForm(patient=str(desk.ann), treatment=str(room.clinic.treatment)), actor="test")
    page = open_page(f"{room.origin}/openings?patient={desk.ann}", width, role="desk")
    page.get_by_role("link", name="All its sessions in one go").press("Enter")
    book = page.get_by_role("button", name="Book 3 sessions")
    expect(book).to_be_focused()
    expect(page.locator("tbody tr")).to_have_count(3)
    sound(page)
    page.get_by_label("Wished hour").fill("15:00")
    page.get_by_label("Wished hour").press("Enter")
    expect(page.locator("tbody")).to_contain_text("15:00–15:20")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Booked: 3 sessions. Off the waiting list.")).to_be_visible()
    sound(page)
    page.get_by_role("button", name="Undo").press("Enter")
    expect(page.get_by_role("heading", name="On the waiting list again.")).to_be_visible()
    expect(page.get_by_label("Wished hour")).to_have_value("15:00")
    assert [line.patient for line in waiting_list(desk.store)] == ["Ann Early"]
    assert "Ann" not in page.url


def test_a_name_without_end_stays_on_a_narrow_screen(room: Room, open_page: Open) -> None:
    desk, long = room.clinic.desk, "Wolfeschlegelsteinhausenbergerdorff" * 5
    id = make_patient(desk.store, long, actor="test").id
    form = {"sessions": "3", "least_days": "2", "most_days": "4", "prescribed_by": long}
    course = prescribe(desk.store, id, room.clinic.treatment, form, prescribed_on=MONDAY, actor="test")
    put_on(desk.store, WaitingForm(patient=str(id), treatment=str(room.clinic.treatment), note=long), actor="test")
    booked = desk.booked(limits(1), id)
    (visit,) = visit_ids(desk.store, booked.date).values()
    page = open_page(f"{room.origin}/visit/{visit}", 390, role="desk")
    asked = f"?patient={id}"
    for address in (
        *(f"/visit/{visit}", f"/visit/{visit}/slip", "/waiting", f"/waiting{asked}", "/waiting?change=1"),
        *(f"/openings{asked}", f"/openings{asked}&what=t1{CHOSEN}", f"/openings/course{asked}&course={course}"),
        *(f"/patients/{id}", "/patients"),
    ):
        page.goto(room.origin + address)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, address
