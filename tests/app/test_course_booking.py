"""All sessions of a course: found, booked in one transaction or not at all, taken out again. Everybody is invented."""

import datetime
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.services.courses import courses_of_patient, prescribe
from app.services.days import kept_day
from app.services.patients import find_patients
from app.services.setup.changing import save_change
from app.services.setup.clinic_changes import SaveClosure, SaveOpening
from app.services.setup.filled import filled_set_up
from app.services.setup.forms import ClosureForm, MemberForm, OpeningForm
from app.services.setup.things import SaveThing
from app.services.treatments.writing import make_treatment
from app.services.visits.waiting import WaitingForm, put_on, waiting_list
from solver.verify import verify
from tests.app.clinic_days import HERE, app_in, client_of, plan_at_once, store_of

NOW = datetime.datetime(2031, 3, 4, 10, 2)
HOURS = ("09:00-12:00",) * 5 + ("", "")
PART = {
    "id": "pads",
    "channels": {"pads": "1"},
    "phases": [
        {"min": "5", "hands": "therapist", "running": False},
        {"min": "15", "hands": "nobody", "running": True},
    ],
}


class Clinic:
    """Open on working mornings, with a course of six for Ann: Monday, Wednesday, Friday."""

    def __init__(self, app: FastAPI) -> None:
        self.app, self.store = app, store_of(app)
        now = filled_set_up(self.store)
        change = SaveOpening(form=OpeningForm(hours=HOURS), read=now.version)
        self.version = save_change(self.store, change, actor="test", clock=lambda: NOW).version
        for member in now.staff:
            assert isinstance(member.form, MemberForm)
            there = MemberForm(**{**_values(member.form), "hours": HOURS, "breaks": ("",) * 7})
            save_change(self.store, SaveThing(form=there, read=member.version), actor="test", clock=lambda: NOW)
        treatment = make_treatment(self.store, {"name": "Pads", "parts": [PART]}, actor="test")
        self.patient = find_patients(self.store, "ann")[0].id
        form = {
            "sessions": "6",
            "least_days": "2",
            "most_days": "4",
            "weekdays": ["0", "2", "4"],
            "therapist": "T1",
            "prescribed_by": "Tess Ray",
        }
        on = NOW.date()
        self.course = prescribe(self.store, self.patient, treatment, form, prescribed_on=on, actor="test")
        self.address = f"/openings/course?patient={self.patient}&course={self.course}"

    def left(self) -> int:
        return courses_of_patient(self.store, self.patient)[0].left


def _values(form: MemberForm) -> dict[str, Any]:
    return {name: getattr(form, name) for name in MemberForm.__dataclass_fields__}


@pytest.fixture
def clinic(tmp_path: Path) -> Clinic:
    return Clinic(app_in(tmp_path, plan_at_once, lambda: NOW)[0])


@pytest.fixture
def desk(clinic: Clinic) -> Iterator[TestClient]:
    with client_of(clinic.app, "desk", follow_redirects=False) as client:
        yield client


def hidden(page: str, action: str) -> dict[str, str]:
    form = page.split(f'action="{action}"')[1].split("</form>")[0]
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    return {name: value.replace("&#34;", '"').replace("&quot;", '"') for name, value in fields.items()}


def dates(page: str) -> list[str]:
    return re.findall(r'<td><a href="/day/([\d-]+)">', page)


def test_six_sessions_are_found_at_one_hour_and_booked_at_once(clinic: Clinic, desk: TestClient) -> None:
    page = desk.get(clinic.address).text
    found = dates(page)
    assert found == ["2031-03-05", "2031-03-07", "2031-03-10", "2031-03-12", "2031-03-14", "2031-03-17"]
    assert len(set(re.findall(r'<td class="num">([\d:–]+)</td>', page))) == 1
    done = desk.post("/openings/course/book", data=hidden(page, "/openings/course/book"), headers=HERE)
    assert done.status_code == 200
    assert "Booked: 6 sessions" in done.text
    assert clinic.left() == 0
    for text in found:
        kept = kept_day(clinic.store, datetime.date.fromisoformat(text))
        assert kept is not None
        assert kept.plan is not None
        assert not verify(kept.day, kept.plan)
        assert [visit.patient for visit in kept.day.visits] == ["Ann Early"]
        assert [visit.id for visit in kept.day.published] == [visit.id for visit in kept.plan.visits]
    again = desk.post("/openings/course/undo", data=hidden(done.text, "/openings/course/undo"), headers=HERE)
    assert "Undone" in again.text
    assert clinic.left() == 6


def test_holidays_are_left_out_and_what_does_not_fit_is_said(clinic: Clinic, desk: TestClient) -> None:
    for text in ("2031-03-10", "2031-03-12", "2031-03-14"):
        change = SaveClosure(form=ClosureForm(date=text, reason="holiday"), read=clinic.version)
        clinic.version = save_change(clinic.store, change, actor="test", clock=lambda: NOW).version
    # The holidays part the first week from the rest by more than four days, so that all six begin after them.
    page = desk.get(clinic.address).text
    assert dates(page)[0] == "2031-03-17"
    assert len(dates(page)) == 6
    short = desk.get(f"{clinic.address}&weeks=1").text
    assert dates(short) == ["2031-03-05", "2031-03-07"]
    assert "Sessions 3 to 6: no day with an opening from 2031-03-09 until 2031-03-11" in short


def test_where_one_session_is_taken_none_is_booked(clinic: Clinic, desk: TestClient) -> None:
    page = desk.get(clinic.address).text
    fields = hidden(page, "/openings/course/book")
    change = SaveClosure(form=ClosureForm(date="2031-03-12"), read=clinic.version)
    save_change(clinic.store, change, actor="test", clock=lambda: NOW)
    refused = desk.post("/openings/course/book", data=fields, headers=HERE)
    assert refused.status_code in (409, 422)
    assert clinic.left() == 6
    assert kept_day(clinic.store, datetime.date(2031, 3, 5)) is None


def test_sessions_that_are_booked_already_keep_their_distance(clinic: Clinic, desk: TestClient) -> None:
    page = desk.get(clinic.address).text
    fields = hidden(page, "/openings/course/book")
    fields["dates"] = fields["dates"].split()[0]
    fields["placed"] = (
        "["
        + re.findall(r'\{"id":"b-.*?"parts":\[.*?\]\}\]\}|\{"id":"b-.*?(?=,\{"id":"b-|\]$)', fields["placed"])[0]
        + "]"
    )
    done = desk.post("/openings/course/book", data=fields, headers=HERE)
    assert done.status_code == 200, done.text
    assert clinic.left() == 5
    later = desk.get(clinic.address).text
    assert dates(later)[0] == "2031-03-07"
    assert "Booked so far: Wednesday 5 March 2031" in later


def test_a_session_that_is_booked_later_is_counted_in(clinic: Clinic, desk: TestClient) -> None:
    """From Friday to Wednesday are five days, one more than may be; with the Monday that is booked it is right."""
    fields = hidden(desk.get(clinic.address).text, "/openings/course/book")
    there = fields["dates"].split().index("2031-03-10")
    fields["dates"] = "2031-03-10"
    fields["placed"] = json.dumps([json.loads(fields["placed"])[there]])
    assert desk.post("/openings/course/book", data=fields, headers=HERE).status_code == 200
    assert clinic.left() == 5
    found = dates(desk.get(clinic.address).text)
    assert found == ["2031-03-05", "2031-03-07", "2031-03-12", "2031-03-14", "2031-03-17"]


def test_a_course_that_paused_for_long_can_go_on(clinic: Clinic, desk: TestClient) -> None:
    fields = hidden(desk.get(clinic.address).text, "/openings/course/book")
    fields["dates"] = fields["dates"].split()[0]
    fields["placed"] = json.dumps(json.loads(fields["placed"])[:1])
    assert desk.post("/openings/course/book", data=fields, headers=HERE).status_code == 200
    found = dates(desk.get(f"{clinic.address}&first=2031-03-24").text)
    assert found == ["2031-03-24", "2031-03-26", "2031-03-28", "2031-03-31", "2031-04-02"]


def one_of(fields: dict[str, str], *dates: str) -> dict[str, str]:
    """What books the sessions of these dates only."""
    there = [fields["dates"].split().index(date) for date in dates]
    placed = json.loads(fields["placed"])
    return fields | {"dates": " ".join(dates), "placed": json.dumps([placed[i] for i in there])}


def numbered(page: str) -> list[tuple[str, str, str]]:
    """Number, date and days after the one before, of each session."""
    cells = (
        r'<th scope="row"[^>]*>(\d+)',
        r'<td><a href="/day/([\d-]+)">',
        r'<td class="num">[^<]*</td><td[^>]*>([^<]*)',
    )
    return list(zip(*(re.findall(cell, page) for cell in cells), strict=True))


def test_sessions_are_numbered_by_date_among_all_and_days_counted_from_the_one_before(
    clinic: Clinic, desk: TestClient
) -> None:
    fields = hidden(desk.get(clinic.address).text, "/openings/course/book")
    assert desk.post("/openings/course/book", data=one_of(fields, "2031-03-10"), headers=HERE).status_code == 200
    assert numbered(desk.get(clinic.address).text) == [
        ("1", "2031-03-05", ""),
        ("2", "2031-03-07", "2 days"),
        ("4", "2031-03-12", "2 days"),
        ("5", "2031-03-14", "2 days"),
        ("6", "2031-03-17", "3 days"),
    ]
    short = desk.get(f"{clinic.address}&weeks=1").text
    assert [number for number, *_ in numbered(short)] == ["1", "2"]
    assert "Sessions 4 to 6: no day with an opening" in short


def test_a_session_booked_elsewhere_meanwhile_is_told_where_it_is_too_near_and_the_form_stays(
    clinic: Clinic, desk: TestClient
) -> None:
    address = f"{clinic.address}&weeks=5&wish=10:00"
    fields = hidden(desk.get(address).text, "/openings/course/book")
    other = hidden(desk.get(f"{clinic.address}&first=2031-03-11").text, "/openings/course/book")
    change = {"dates": "2031-03-13", "placed": one_of(other, "2031-03-14")["placed"]}
    assert desk.post("/openings/course/book", data=other | change, headers=HERE).status_code == 200
    refused = desk.post("/openings/course/book", data=fields, headers=HERE)
    assert refused.status_code == 422
    assert "from 2031-03-12 to 2031-03-13 there would be 1 day; at least 2 are prescribed" in refused.text
    assert "from 2031-03-13 to 2031-03-14 there would be 1 day; at least 2 are prescribed" in refused.text
    assert 'name="weeks" inputmode="numeric" size="3" value="5"' in refused.text
    assert 'value="10:00"' in refused.text
    assert clinic.left() == 5
    assert kept_day(clinic.store, datetime.date(2031, 3, 5)) is None
    assert len(dates(refused.text)) == 5


def test_a_session_cancelled_meanwhile_may_leave_the_next_too_far(clinic: Clinic, desk: TestClient) -> None:
    first = hidden(desk.get(clinic.address).text, "/openings/course/book")
    booked = desk.post("/openings/course/book", data=one_of(first, "2031-03-05", "2031-03-07"), headers=HERE).text
    later = hidden(desk.get(clinic.address).text, "/openings/course/book")
    assert later["dates"].startswith("2031-03-10")
    assert desk.post("/openings/course/undo", data=hidden(booked, "/openings/course/undo"), headers=HERE).is_success
    only = one_of(first, "2031-03-05")
    assert desk.post("/openings/course/book", data=only, headers=HERE).is_success
    refused = desk.post("/openings/course/book", data=later, headers=HERE)
    assert "from 2031-03-05 to 2031-03-10 there would be 5 days; at most 4 are prescribed" in refused.text
    assert clinic.left() == 5


def test_from_openings_one_gets_to_all_sessions_while_several_are_left(clinic: Clinic, desk: TestClient) -> None:
    address = f"/openings?patient={clinic.patient}&what=c{clinic.course}"
    assert f'href="{clinic.address.replace("&", "&amp;")}"' in desk.get(address).text
    assert "/openings/course" not in client_of(clinic.app, "therapist").get(address).text
    fields = hidden(desk.get(clinic.address).text, "/openings/course/book")
    five = one_of(fields, *fields["dates"].split()[:5])
    assert desk.post("/openings/course/book", data=five, headers=HERE).is_success
    assert "/openings/course" not in desk.get(address).text


def test_two_presses_book_once_and_say_so_twice(clinic: Clinic, desk: TestClient) -> None:
    fields = hidden(desk.get(clinic.address).text, "/openings/course/book")
    for _ in range(2):
        done = desk.post("/openings/course/book", data=fields, headers=HERE)
        assert (done.status_code, "Booked: 6 sessions" in done.text) == (200, True)
    assert clinic.left() == 0
    undo = hidden(done.text, "/openings/course/undo")
    assert "Undone" in desk.post("/openings/course/undo", data=undo, headers=HERE).text
    again = desk.post("/openings/course/undo", data=undo, headers=HERE)
    assert (again.status_code, "is undone already" in again.text) == (409, True)


def test_who_waits_for_it_is_off_the_list_with_the_course_and_on_it_again_with_its_undo(
    clinic: Clinic, desk: TestClient
) -> None:
    treatment = str(courses_of_patient(clinic.store, clinic.patient)[0].treatment_id)
    other = make_treatment(clinic.store, {"name": "Cups", "parts": [PART | {"id": "cups"}]}, actor="test")
    bea = find_patients(clinic.store, "bea")[0].id
    for patient, what in ((clinic.patient, treatment), (bea, treatment), (clinic.patient, str(other))):
        put_on(clinic.store, WaitingForm(patient=str(patient), treatment=what), actor="test")
    before = waiting_list(clinic.store)
    page = desk.get(clinic.address).text
    assert "On the waiting list for this" in page
    fields = hidden(page, "/openings/course/book")
    wrong = fields | {"dates": fields["dates"].replace("2031-03-14", "2031-03-13")}
    assert not desk.post("/openings/course/book", data=wrong, headers=HERE).is_success
    assert waiting_list(clinic.store) == before
    done = desk.post("/openings/course/book", data=fields, headers=HERE)
    assert "Booked: 6 sessions. Off the waiting list." in done.text
    assert [(one.patient_id, one.treatment) for one in waiting_list(clinic.store)] == [
        (bea, "Pads"),
        (clinic.patient, "Cups"),
    ]
    undone = desk.post("/openings/course/undo", data=hidden(done.text, "/openings/course/undo"), headers=HERE)
    assert "On the waiting list again." in undone.text
    assert waiting_list(clinic.store) == before


@pytest.mark.parametrize("query", ["patient=99&course=1", "patient=1&course=99"])
def test_what_is_not_there_is_said(clinic: Clinic, desk: TestClient, query: str) -> None:
    assert desk.get(f"/openings/course?{query}").status_code in (404, 422)
