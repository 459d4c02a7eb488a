"""The Openings page over HTTP, as a browser without script gets it."""

import re
from dataclasses import replace
from functools import partial
from html import unescape

import pytest
from sqlmodel import select

from app.models import BookedVisit
from app.services.days import kept_day
from app.services.openings.booking import Booked
from app.services.openings.pairs import search_pairs
from app.services.openings.written import read_back, written
from app.services.patients import make_patient
from app.services.treatments.writing import make_treatment
from tests.app.clinic_days import HERE, client_of
from tests.app.openings_clinic import Clinic
from tests.data.front_desk import limits, part, treatment_form
from tests.data.set_up_clinic import MONDAY, TODAY, TUESDAY

FORM = re.compile(r'<form method="post" action="(/openings/[a-z/]+)"[^>]*>(.*?)</form>', re.DOTALL)
HIDDEN = re.compile(r'<input type="hidden" name="(\w+)" value="([^"]*)">')


def fields_of(html: str, action: str) -> dict[str, str]:
    """What the form that goes there sends."""
    (form,) = [body for to, body in FORM.findall(html) if to == action][:1]
    return {name: unescape(value) for name, value in HIDDEN.findall(form)}


def test_a_known_patient_is_found_and_no_address_has_the_name(clinic: Clinic) -> None:
    client = client_of(clinic.app, follow_redirects=False)
    answer = client.post("/openings/find", data={"typed": "ann", "who": "patient", "ask": ""}, headers=HERE)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/openings?patient={clinic.desk.ann}")
    page = client.get(clinic.ask()).text
    assert not re.search(r'(href|action|hx-\w+)="[^"]*(Ann|Early)', page)


def test_a_new_patient_is_made_in_place_and_the_form_is_kept(clinic: Clinic) -> None:
    client = client_of(clinic.app, follow_redirects=False)
    sent = {"name": "Cora New", "phone": "", "who": "patient", "ask": "days=7&wish=10:00"}
    answer = client.post("/openings/patient", data=sent, headers=HERE)
    assert answer.status_code == 303
    assert re.fullmatch(r"/openings\?patient=\d+&days=7&wish=10%3A00", answer.headers["location"])
    assert "Cora New" in client.get(answer.headers["location"]).text


def test_offers_and_a_strip_for_each_of_four_weeks_days(clinic: Clinic) -> None:
    html = client_of(clinic.app).get(clinic.ask()).text
    assert html.count('class="day-strip') == 28
    assert "Mon 3 Mar 12:00–12:20" in html
    assert html.count("closed") == 8


def test_by_htmx_only_the_answers_come(clinic: Clinic) -> None:
    html = client_of(clinic.app).get(clinic.ask("&wish=15"), headers={"hx-request": "true"}).text
    assert "<html" not in html
    assert "15:00–15:20" in html


def test_what_is_chosen_is_drawn_and_then_booked_and_undone(clinic: Clinic) -> None:
    client = client_of(clinic.app)
    html = client.get(clinic.ask("&date=2031-03-10&at=10:00")).text
    assert 'class="block on-track hue1 proposed' in html
    assert "Rand and others 2007" in html
    assert kept_day(clinic.desk.store, MONDAY) is None
    booked = client.post("/openings/book", data=fields_of(html, "/openings/book"), headers=HERE)
    assert booked.status_code == 200
    assert "Ann Early: Mon 10 Mar at 10:00." in booked.text
    known = kept_day(clinic.desk.store, MONDAY)
    assert known is not None
    assert known.plan is not None
    assert [visit.parts[0].start for visit in known.plan.visits] == [600]
    undone = client.post("/openings/undo", data=fields_of(booked.text, "/openings/undo"), headers=HERE)
    assert "The booking is taken out again." in undone.text
    again = client.post("/openings/undo", data=fields_of(booked.text, "/openings/undo"), headers=HERE)
    assert (again.status_code, "undone already" in again.text) == (409, True)


@pytest.mark.parametrize("answer", ["not_seen", "decided"])
def test_the_clinicians_answer_is_kept_and_moves_along(clinic: Clinic, answer: str) -> None:
    client, store = client_of(clinic.app), clinic.desk.store
    html = client.get(clinic.ask("&date=2031-03-10&at=10:00")).text
    sent = fields_of(html, "/openings/book") | ({"screening": answer} if answer != "not_seen" else {})
    assert client.post("/openings/book", data=sent, headers=HERE).status_code == 200
    with store.reading() as session:
        (row,) = session.exec(select(BookedVisit)).all()
        assert row.screening == answer
    asked = f"/openings?move={row.code}&move_date=2031-03-10&date=2031-03-11&at=11:00"
    moved = fields_of(client.get(asked).text, "/openings/move")
    assert client.post("/openings/move", data=moved, headers=HERE).status_code == 200
    with store.reading() as session:
        assert [one.screening for one in session.exec(select(BookedVisit)) if not one.is_removed] == [answer]


def test_an_answer_that_is_none_is_refused(clinic: Clinic) -> None:
    client = client_of(clinic.app)
    sent = fields_of(client.get(clinic.ask("&date=2031-03-10&at=10:00")).text, "/openings/book")
    assert client.post("/openings/book", data=sent | {"screening": "fine"}, headers=HERE).status_code == 422


def test_who_comes_too_late_is_told_who_took_what_and_the_form_is_kept(clinic: Clinic) -> None:
    one, other = client_of(clinic.app, "desk"), client_of(clinic.app, "manager")
    at = "&wish=10:00&date=2031-03-10&at=10:00"
    mine = one.get(clinic.ask(at)).text
    theirs = other.get(clinic.ask(at, clinic.desk.bea)).text
    assert one.post("/openings/book", data=fields_of(mine, "/openings/book"), headers=HERE).status_code == 200
    late = other.post("/openings/book", data=fields_of(theirs, "/openings/book"), headers=HERE)
    assert late.status_code == 409
    assert "held by Ann Early, booked just now by desk" in late.text
    assert 'name="wish" value="10:00"' in late.text
    assert "Mon 10 Mar 10:20–10:40" in late.text or "Mon 10 Mar 09:40–10:00" in late.text


def test_why_not_is_told_in_words(clinic: Clinic) -> None:
    clinic.desk.booked(limits(1, wish=600), clinic.desk.bea)
    html = client_of(clinic.app).get(clinic.ask("&why_date=2031-03-10&why=1010")).text
    assert "Mon 10 Mar at 10:10 cannot be had:" in html
    assert "No hands are free" in html
    assert "held by Bea Later" in html
    assert "Mon 10 Mar 10:20–10:40" in html


def test_a_visit_is_moved_to_another_day_and_back(clinic: Clinic) -> None:
    booked = clinic.desk.booked(limits(1))
    assert isinstance(booked, Booked)
    (code,) = booked.placed
    client = client_of(clinic.app)
    assert f"/openings?move={code}&amp;move_date=2031-03-10" in client.get(clinic.ask()).text
    html = client.get(f"/openings?move={code}&move_date=2031-03-10&date=2031-03-11&at=11:00").text
    assert f"Moving visit {code}" in html
    moved = client.post("/openings/move", data=fields_of(html, "/openings/move"), headers=HERE)
    assert "Ann Early: now Tue 11 Mar at 11:00." in moved.text
    there = kept_day(clinic.desk.store, TUESDAY)
    assert there is not None
    assert [visit.id for visit in there.day.visits] == [code]
    back = client.post("/openings/move/undo", data=fields_of(moved.text, "/openings/move/undo"), headers=HERE)
    assert "The visit is where it was." in back.text


def test_what_would_have_to_move_is_offered_and_done_in_one_press(clinic: Clinic) -> None:
    bea = clinic.desk.booked(limits(1, wish=540), clinic.desk.bea)
    client = client_of(clinic.app)
    asked = clinic.ask("&first=2031-03-10&days=1&after=09:00&before=09:20")
    assert "What would have to move on" in client.get(asked).text
    html = client.get(f"{asked}&room=2031-03-10").text
    assert "1 patient would have to be called" in html
    done = client.post("/openings/book", data=fields_of(html, "/openings/book"), headers=HERE)
    assert "Moved to make room: 1." in done.text
    undone = client.post("/openings/undo", data=fields_of(done.text, "/openings/undo"), headers=HERE)
    assert "Where they were again: 1." in undone.text
    known = kept_day(clinic.desk.store, MONDAY)
    assert known is not None
    assert known.plan is not None
    assert {one.id: one for one in known.plan.visits} == bea.placed


def test_undo_says_who_has_the_place_of_whoever_made_room(clinic: Clinic) -> None:
    clinic.desk.booked(limits(1, wish=550), clinic.desk.bea)
    client = client_of(clinic.app)
    html = client.get(clinic.ask("&first=2031-03-10&days=1&after=09:00&before=09:20&room=2031-03-10")).text
    sent = fields_of(html, "/openings/book")
    (moved,) = read_back(sent["moved"])
    away = replace(moved, parts=(replace(moved.parts[0], start=900),))
    done = client.post("/openings/book", data=sent | {"moved": written([away])}, headers=HERE).text
    clinic.desk.booked(limits(1, wish=560), make_patient(clinic.desk.store, "Cora New", actor="desk").id)
    undone = client.post("/openings/undo", data=fields_of(done, "/openings/undo"), headers=HERE)
    assert undone.status_code == 409
    assert "cannot go back to where they were. Nothing was changed." in undone.text
    assert "held by Cora New, booked just now by desk" in undone.text


def test_room_is_made_for_the_start_that_is_asked_about(clinic: Clinic) -> None:
    clinic.desk.booked(limits(1, wish=600), clinic.desk.bea)
    client = client_of(clinic.app)
    html = client.get(clinic.ask("&why_date=2031-03-10&why=1000&room=2031-03-10")).text
    assert "On Mon 10 Mar at 10:00 it would fit if 1 visit moved" in html
    done = client.post("/openings/book", data=fields_of(html, "/openings/book"), headers=HERE)
    assert "Ann Early: Mon 10 Mar at 10:00." in done.text


def test_two_at_once_are_found_chosen_booked_and_undone(clinic: Clinic) -> None:
    watched = [("anyone", "5", False), ("nobody", "15", True)]
    phases = [{"hands": hands, "min": minutes, "running": running} for hands, minutes, running in watched]
    key = make_treatment(clinic.desk.store, treatment_form(part(phases=phases), name="Watched"), actor="test")
    client = client_of(clinic.app)
    asked = f"/openings?patient={clinic.desk.ann}&second={clinic.desk.bea}&what=t{key}&same_unit=1&first=2031-03-10"
    whole = client.get(asked).text
    assert "Mon 10 Mar 09:00–09:20" in whole
    assert "the time was over" not in whole
    with pytest.MonkeyPatch.context() as at_once:
        at_once.setattr("app.routes.openings_found.search_pairs", partial(search_pairs, seconds=0))
        assert "Nothing found for both at once; the time was over before all was tried" in client.get(asked).text
    html = client.get(f"{asked}&date=2031-03-10&at=09:00").text
    assert "Ann Early and Bea Later: Monday 10 March 2031, 09:00–09:20" in html
    booked = client.post("/openings/book", data=fields_of(html, "/openings/book"), headers=HERE)
    known = kept_day(clinic.desk.store, MONDAY)
    assert known is not None
    assert known.plan is not None
    assert [visit.parts[0].start for visit in known.plan.visits] == [540, 540]
    assert len({visit.parts[0].unit for visit in known.plan.visits}) == 1
    client.post("/openings/undo", data=fields_of(booked.text, "/openings/undo"), headers=HERE)
    after = kept_day(clinic.desk.store, MONDAY)
    assert after is not None
    assert after.day.visits == ()


def test_a_walk_in_is_one_click(clinic: Clinic) -> None:
    client = client_of(clinic.app)
    html = client.get(f"/openings?patient={clinic.desk.ann}&walk=1").text
    assert "1 treatment can start within the next half hour" in html
    done = client.post("/openings/book", data=fields_of(html, "/openings/book"), headers=HERE)
    assert "Ann Early: Mon 3 Mar at 12:00." in done.text
    known = kept_day(clinic.desk.store, TODAY)
    assert known is not None
    assert len(known.day.visits) == 1


def test_a_therapist_looks_and_does_not_book(clinic: Clinic) -> None:
    client = client_of(clinic.app, "therapist")
    html = client.get(clinic.ask("&date=2031-03-10&at=10:00")).text
    assert "/openings/book" not in html
    sent = fields_of(client_of(clinic.app).get(clinic.ask("&date=2031-03-10&at=10:00")).text, "/openings/book")
    assert client.post("/openings/book", data=sent, headers=HERE).status_code == 403


@pytest.mark.parametrize(
    "broken",
    [
        {"placed": "[]"},
        {"placed": "nonsense"},
        {"date": "never"},
        {"ask": ""},
        {"date": "2031-03-01"},
        {"read": "x" * 9},
    ],
)
def test_a_form_that_is_not_the_pages_is_refused_in_a_line(clinic: Clinic, broken: dict[str, str]) -> None:
    client = client_of(clinic.app)
    sent = fields_of(client.get(clinic.ask("&date=2031-03-10&at=10:00")).text, "/openings/book") | broken
    answer = client.post("/openings/book", data=sent, headers=HERE)
    # A version that cannot be read is one that is old: what fits is booked all the same.
    assert answer.status_code == (200 if "read" in broken else 422)


@pytest.mark.parametrize(
    ("broken", "line"),
    [
        ({"date": "never"}, "this is no date; choose a start of the list"),
        ({"date": "2031-03-01"}, "2031-03-01 is past; choose a date from today on"),
        ({"placed": "[]"}, "patient and treatment are not chosen; choose them again"),
    ],
)
def test_a_fault_is_told_in_one_line_and_the_form_is_kept(clinic: Clinic, broken: dict[str, str], line: str) -> None:
    client = client_of(clinic.app)
    html = client.get(clinic.ask("&wish=10:00&date=2031-03-10&at=10:00")).text
    answer = client.post("/openings/book", data=fields_of(html, "/openings/book") | broken, headers=HERE)
    assert answer.status_code == 422
    assert (answer.text.count(line), 'name="wish" value="10:00"' in answer.text) == (1, True)
    assert kept_day(clinic.desk.store, MONDAY) is None


def test_a_move_with_a_fault_keeps_its_form(clinic: Clinic) -> None:
    booked = clinic.desk.booked(limits(1))
    assert isinstance(booked, Booked)
    (code,) = booked.placed
    client = client_of(clinic.app)
    html = client.get(f"/openings?move={code}&move_date=2031-03-10&wish=11:00&date=2031-03-11&at=11:00").text
    answer = client.post("/openings/move", data=fields_of(html, "/openings/move") | {"date": "never"}, headers=HERE)
    assert answer.status_code == 422
    assert "Nothing was moved" in answer.text
    assert "this is no date; choose a start of the list" in answer.text
    assert f"Moving visit {code}" in answer.text
    assert 'name="wish" value="11:00"' in answer.text


@pytest.mark.parametrize(
    "more", ["&what=t999", "&patient=999", "&move=x&move_date=2031-03-10", "&date=2031-99-01&at=25:00"]
)
def test_what_does_not_exist_is_left_out(clinic: Clinic, more: str) -> None:
    assert client_of(clinic.app).get(f"/openings?{more}").status_code == 200
    assert client_of(clinic.app).get(clinic.ask(more)).status_code == 200
