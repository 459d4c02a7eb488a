"""A front desk with stale tabs, a nervous Enter and odd things to type. Everybody is invented."""

import re

import pytest
from starlette.testclient import TestClient

from app.services.days import kept_day
from app.services.forgetting import forget_patient
from app.services.openings.moving import Moved, move, move_asked
from app.services.openings.search import search
from app.services.patients import change_patient, make_patient, read_patient
from app.services.setup.changing import save_change
from app.services.setup.clinic_changes import SaveClosure
from app.services.setup.filled import filled_set_up
from app.services.setup.forms import ClosureForm
from app.services.treatments.catalogue import read_treatment
from app.services.treatments.writing import change_treatment, retire_treatment
from app.services.visits.about import visit_ids
from app.services.visits.life import step
from app.services.visits.waiting import waiting_list
from tests.app.clinic_days import HERE, client_of
from tests.app.openings_clinic import Clinic
from tests.app.test_openings_page import fields_of
from tests.data.front_desk import clock, limits, part, treatment_form
from tests.data.set_up_clinic import MONDAY, TUESDAY

AT_TEN = "&date=2031-03-10&at=10:00"
LONG = "Wolfeschlegelsteinhausenbergerdorff" * 5


@pytest.fixture
def client(clinic: Clinic) -> TestClient:
    return client_of(clinic.app)


def lines_of(html: str) -> str:
    """What is told in the box of trouble."""
    return re.split(r'<section class="trouble"|</section>', html)[1]


def test_a_move_that_is_pressed_twice_is_moved_once_and_undone_from_either_page(
    clinic: Clinic, client: TestClient
) -> None:
    (code,) = clinic.desk.booked(limits(1, wish=540)).placed
    for to in ("2031-03-11&at=11:00", "2031-03-10&at=15:00"):
        html = client.get(f"/openings?move={code}&move_date=2031-03-10&date={to}").text
        sent = fields_of(html, "/openings/move")
        first, second = (client.post("/openings/move", data=sent, headers=HERE) for _ in range(2))
        assert [answer.status_code for answer in (first, second)] == [200, 200]
        assert ">Moved</h2>" in second.text
        back = client.post("/openings/move/undo", data=fields_of(second.text, "/openings/move/undo"), headers=HERE)
        assert "The visit is where it was." in back.text
        there = kept_day(clinic.desk.store, MONDAY)
        assert there is not None
        assert there.plan is not None
        assert [(one.id, one.parts[0].start) for one in there.plan.visits] == [(code, 540)]


def test_a_treatment_that_was_changed_meanwhile_is_not_booked_as_it_was_shown(
    clinic: Clinic, client: TestClient
) -> None:
    sent = fields_of(client.get(clinic.ask(AT_TEN)).text, "/openings/book")
    known = read_treatment(clinic.desk.store, clinic.treatment)
    change_treatment(clinic.desk.store, known.id, treatment_form(part(40)), read=known.version, actor="test")
    refused = client.post("/openings/book", data=sent, headers=HERE)
    assert refused.status_code == 422
    assert "was changed since this page was shown" in lines_of(refused.text)
    assert kept_day(clinic.desk.store, MONDAY) is None
    again = fields_of(client.get(clinic.ask(AT_TEN)).text, "/openings/book")
    assert ">Booked</h2>" in client.post("/openings/book", data=again, headers=HERE).text


def test_a_treatment_that_was_retired_meanwhile_is_said_to_be_gone(clinic: Clinic, client: TestClient) -> None:
    sent = fields_of(client.get(clinic.ask(AT_TEN)).text, "/openings/book")
    known = read_treatment(clinic.desk.store, clinic.treatment)
    retire_treatment(clinic.desk.store, known.id, read=known.version, actor="test")
    assert "What was chosen cannot be booked any more." in client.get(clinic.ask()).text
    assert client.post("/openings/book", data=sent, headers=HERE).status_code == 422
    assert kept_day(clinic.desk.store, MONDAY) is None


def test_a_day_that_was_closed_meanwhile_is_said_to_be_closed(clinic: Clinic, client: TestClient) -> None:
    sent = fields_of(client.get(clinic.ask(AT_TEN)).text, "/openings/book")
    change = SaveClosure(form=ClosureForm(date="2031-03-10"), read=filled_set_up(clinic.desk.store).version)
    save_change(clinic.desk.store, change, actor="test", clock=clock)
    refused = client.post("/openings/book", data=sent, headers=HERE)
    assert refused.status_code == 422
    assert "the clinic is closed on 2031-03-10" in lines_of(refused.text)


def test_a_patient_renamed_meanwhile_is_booked_by_the_new_name_and_one_forgotten_not_at_all(
    clinic: Clinic, client: TestClient
) -> None:
    sent = {id: fields_of(client.get(clinic.ask(AT_TEN, id)).text, "/openings/book") for id in (1, 2)}
    known = read_patient(clinic.desk.store, 1)
    change_patient(clinic.desk.store, 1, "Ann Married", read=known.version, actor="test")
    assert "Ann Married: Mon 10 Mar at 10:00." in client.post("/openings/book", data=sent[1], headers=HERE).text
    forget_patient(clinic.desk.store, "2")
    refused = client.post("/openings/book", data=sent[2], headers=HERE)
    assert (refused.status_code, "Bea" in refused.text) == (422, False)


def test_what_cannot_be_moved_any_more_is_said_why(clinic: Clinic, client: TestClient) -> None:
    booked = clinic.desk.booked(limits(1))
    (code,) = booked.placed
    address = f"/openings?move={code}&move_date=2031-03-10"
    (id,) = visit_ids(clinic.desk.store, booked.date).values()
    step(clinic.desk.store, id, "arrived", seen=0, actor="other")
    assert "It cannot be moved: its status is arrived; take that step back on the visit" in client.get(address).text
    gone = client.get("/openings?move=nobody&move_date=2031-03-10").text
    assert "It cannot be moved: there is no visit nobody on 2031-03-10; look at the day again." in gone
    closed = client.get("/openings?move=nobody&move_date=2031-03-09").text
    assert "It cannot be moved: the clinic is closed on 2031-03-09" in closed


def test_put_on_twice_is_on_the_list_once_and_otherwise_is_said(clinic: Clinic, client: TestClient) -> None:
    sent = {"patient": str(clinic.desk.ann), "treatment": str(clinic.treatment), "priority": "2", "hours": "9:00-12:00"}
    for _ in range(2):
        assert client.post("/waiting", data=sent, headers=HERE).status_code == 200
    assert len(waiting_list(clinic.desk.store)) == 1
    other = client.post("/waiting", data=sent | {"priority": "3"}, headers=HERE)
    assert (other.status_code, "they wait for this already; change what is on the list" in other.text) == (422, True)
    (line,) = waiting_list(clinic.desk.store)
    assert line.priority == 2


def test_who_was_booked_from_the_list_by_another_desk_is_not_booked_from_it_again(
    clinic: Clinic, client: TestClient
) -> None:
    client.post("/waiting", data={"patient": "1", "treatment": "1", "priority": "1"}, headers=HERE)
    (line,) = waiting_list(clinic.desk.store)
    pages = [client.get(f"/waiting/{line.id}/book?date=2031-03-10&at={at}").text for at in ("10:00", "15:00")]
    mine, theirs = (fields_of(page, "/openings/book") for page in pages)
    assert "Off the waiting list." in client.post("/openings/book", data=theirs, headers=HERE).text
    late = client.post("/openings/book", data=mine, headers=HERE)
    assert late.status_code == 422
    assert "they are not on the waiting list any more; look at what is booked for them already" in lines_of(late.text)
    assert "Mon 10 Mar 15:00, Knee pads" in late.text
    all_the_same = fields_of(client.get(clinic.ask(f"{AT_TEN}&waiting={line.id}")).text, "/openings/book")
    assert ">Booked</h2>" in client.post("/openings/book", data=all_the_same, headers=HERE).text


def test_an_entry_changed_elsewhere_keeps_what_was_typed_here(clinic: Clinic, client: TestClient) -> None:
    sent = {"patient": str(clinic.desk.ann), "treatment": str(clinic.treatment), "priority": "2"}
    client.post("/waiting", data=sent, headers=HERE)
    (line,) = waiting_list(clinic.desk.store)
    mine, theirs = ({"read": str(line.version), "priority": priority, "note": f"by {priority}"} for priority in "45")
    assert client.post(f"/waiting/{line.id}", data=theirs, headers=HERE).status_code == 200
    late = client.post(f"/waiting/{line.id}", data=mine, headers=HERE)
    assert (late.status_code, "was changed by somebody else" in late.text) == (409, True)
    assert 'value="by 4"' in late.text
    assert f'name="read" value="{line.version + 1}"' in late.text
    assert waiting_list(clinic.desk.store)[0].note == "by 5"


def test_a_visit_that_was_changed_elsewhere_keeps_the_reason_and_shows_how_it_is(
    clinic: Clinic, client: TestClient
) -> None:
    booked = clinic.desk.booked(limits(1))
    (id,) = visit_ids(clinic.desk.store, booked.date).values()
    step(clinic.desk.store, id, "arrived", seen=0, actor="other")
    late = client.post(f"/visit/{id}/cancelled", data={"seen": "0", "reason": "rang at noon"}, headers=HERE)
    assert late.status_code == 409
    assert "This is how it is now." in late.text
    assert 'value="rang at noon"' in late.text
    assert "<b>arrived</b>" in late.text


def test_a_visit_that_was_moved_says_where_it_is_and_is_not_changed_from_here(
    clinic: Clinic, client: TestClient
) -> None:
    desk = clinic.desk
    (code,) = desk.booked(limits(1)).placed
    (before,) = visit_ids(desk.store, MONDAY).values()
    opening = search(desk.ready, move_asked(desk.store, MONDAY, code, limits(1, first=TUESDAY))[0], clock=clock).best[0]
    done = move(desk.store, MONDAY, code, TUESDAY, opening.placed, read=opening.version, actor="other", clock=clock)
    assert isinstance(done, Moved)
    (after,) = visit_ids(desk.store, TUESDAY).values()
    html = client.get(f"/visit/{before}").text
    assert f'it was moved to <a href="/visit/{after}">Tuesday 11 March 2031</a>' in html
    stale = client.post(f"/visit/{before}/cancelled", data={"seen": "0", "reason": "is ill"}, headers=HERE)
    assert stale.status_code == 422
    assert "it is not on its day any more" in stale.text
    assert visit_ids(desk.store, TUESDAY) == {code: after}


@pytest.mark.parametrize(
    ("more", "line"),
    [
        ("&after=14&before=12", "Free from 14:00 until 12:00: the end is not after the start; neither is held to"),
        ("&before=00:00&after=9", ""),
        ("&before=24:00", ""),
        ("&wish=25:00", "Wished start: &#39;25:00&#39; is no time; type one such as 930 or 9:30"),
        ("&why=soon", "Why not then: &#39;soon&#39; is no time; type one such as 930 or 9:30"),
        ("&after=24", "Free from: &#39;24&#39; is no time; type one such as 930 or 9:30"),
    ],
)
def test_a_time_that_cannot_be_held_to_is_said(clinic: Clinic, client: TestClient, more: str, line: str) -> None:
    for headers in ({}, {"hx-request": "true"}):
        html = client.get(clinic.ask(more), headers=headers).text
        assert re.findall(r'<div class="faults"><ul><li>(.*?)</li>', html) == ([line] if line else [])
        assert "starts in 28 days" in html


@pytest.mark.parametrize("date", ["9999-12-31", "9999-12-10", "0001-01-01"])
@pytest.mark.parametrize("more", ["first={}", "date={}&at=10:00", "why_date={}&why=10", "room={}", "first={}&days=1"])
def test_the_calendars_ends_are_dates_like_any_other(clinic: Clinic, client: TestClient, more: str, date: str) -> None:
    assert client.get(clinic.ask("&" + more.format(date))).status_code == 200


@pytest.mark.parametrize("typed", ["a " * 3000, "\x00", "%", "_", "\u202eann", "🦴", "\u200b"])
@pytest.mark.parametrize("room", ["openings", "waiting", "patients"])
def test_whatever_is_typed_finds_nobody_or_somebody(clinic: Clinic, client: TestClient, room: str, typed: str) -> None:
    sent = {"typed": typed, "who": "patient", "ask": typed}
    assert client.post(f"/{room}/find", data=sent, headers=HERE).status_code == 200
    assert client.get("/openings", params={"move": typed[:50], "move_date": "2031-03-10"}).status_code == 200


def test_a_long_name_is_booked_and_told_in_full(clinic: Clinic, client: TestClient) -> None:
    id = make_patient(clinic.desk.store, f"Ṽ̈era {LONG}", actor="test").id
    sent = fields_of(client.get(clinic.ask(AT_TEN, id)).text, "/openings/book")
    assert f"Ṽ̈era {LONG}: Mon 10 Mar at 10:00." in client.post("/openings/book", data=sent, headers=HERE).text
