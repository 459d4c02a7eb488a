"""Patients found as one types, and their courses. All people are invented."""

import time
from datetime import date
from typing import Any

import pytest
from sqlalchemy import insert
from sqlmodel import select

from app.db.folding import sought_text
from app.db.store import Store
from app.errors import StaleRecordError
from app.models import Audit, BookedVisit, Patient
from app.queries.clinics import the_clinic
from app.services.courses import change_course, courses_of_patient, end_course, prescribe
from app.services.days import save_day
from app.services.patients import change_patient, find_patients, make_patient, read_patient
from app.services.treatments.for_patient import set_for_patient
from app.services.treatments.writing import make_treatment
from solver.errors import InputError
from tests.builders import a_day, a_visit
from tests.data.test_treatments import _form

COURSE: dict[str, Any] = {
    "sessions": "10",
    "least_days": "1",
    "most_days": "3",
    "weekdays": ["0", "2"],
    "hours": [["09:00", "12:00"]],
    "therapist": "T1",
    "priority": "2",
    "prescribed_by": "Dr Made Up",
}
ON = date(2031, 3, 1)


def _names(store: Store, typed: str) -> list[str]:
    return [line.name for line in find_patients(store, typed)]


def test_patients_are_found_by_the_beginning_of_any_word(store: Store) -> None:
    for name in ("Zoë Ångström", "Jean-Luc Invented", "Ann O'Made", "Ann Other"):
        make_patient(store, name, actor="test")
    assert _names(store, "ang") == _names(store, "ZOE") == ["Zoë Ångström"]
    assert _names(store, "luc") == ["Jean-Luc Invented"]
    assert _names(store, "o an") == ["Ann O'Made", "Ann Other"]
    by_code = [line.name for line in find_patients(store, "") if line.code.upper().startswith("NN")]
    assert _names(store, "nn") == by_code  # codes are made by chance, and found by their beginning too
    assert _names(store, "%") == _names(store, "") == ["Ann O'Made", "Ann Other", "Jean-Luc Invented", "Zoë Ångström"]
    code = find_patients(store, "other")[0].code
    assert _names(store, code[:3].lower()) == ["Ann Other"]


def test_a_patient_is_changed_with_no_name_in_the_audit(store: Store) -> None:
    made = make_patient(store, "Ann  Invented", phone="555 0100", actor="test")
    assert (made.name, len(made.code)) == ("Ann Invented", 6)
    now = change_patient(store, made.id, "Ann Renamed", phone="555 0100", read=1, actor="test")
    assert read_patient(store, made.id) == now
    assert (_names(store, "invented"), _names(store, "renamed")) == ([], ["Ann Renamed"])
    with pytest.raises(StaleRecordError):
        change_patient(store, made.id, "Ann", read=1, actor="test")
    with pytest.raises(InputError, match="name: nothing stands here"):
        make_patient(store, " ", actor="test")
    with store.reading() as session:
        said = str([(row.record, row.before, row.after) for row in session.exec(select(Audit))])
    assert "Ann" not in said
    assert "555" not in said


def test_twenty_thousand_patients_are_searched_fast(store: Store) -> None:
    """Common practice, no source: what answers within 100 ms is felt as at once. Five times that is allowed here."""
    with store.writing() as session:
        clinic_id = the_clinic(session).id or 0
        named = [(f"C{i:05d}", f"First{i % 199} Last{i}") for i in range(20_000)]
        plain = {"clinic_id": clinic_id, "phone": "", "note": "", "version": 1}
        rows = [{**plain, "code": code, "name": name, "sought": sought_text(name, code)} for code, name in named]
        session.connection().execute(insert(Patient), rows)
    times = []
    for typed in ("la", "last1999", "first7 last", "nobody"):
        began = time.perf_counter()
        find_patients(store, typed)
        times.append(time.perf_counter() - began)
    assert max(times) < 0.5, times


@pytest.fixture
def with_therapist(store: Store) -> Store:
    save_day(store, a_day(a_visit(id="V1", patient="Ann")), None, read=0, actor="test")
    return store


def test_a_course_is_prescribed_changed_and_ended(with_therapist: Store) -> None:
    store = with_therapist
    treatment, ann = make_treatment(store, _form(), actor="test"), find_patients(store, "ann")[0].id
    id = prescribe(store, ann, treatment, COURSE, prescribed_on=ON, actor="test")
    (line,) = courses_of_patient(store, ann)
    assert line.form == {**COURSE, "weekdays": [0, 2]}
    assert (line.booked, line.left, line.status, line.is_own) == (0, 10, "open", False)
    with store.writing() as session:
        visit = session.exec(select(BookedVisit)).one()
        visit.course_id = id
        session.add(visit)
    change_course(store, id, {**line.form, "sessions": "8"}, read=1, actor="test")
    (line,) = courses_of_patient(store, ann)
    assert (line.booked, line.left, line.version) == (1, 7, 2)
    with pytest.raises(StaleRecordError):
        end_course(store, id, "ended", read=1, actor="test")
    end_course(store, id, "ended", read=2, actor="test")
    with pytest.raises(InputError, match="it is ended"):
        change_course(store, id, line.form, read=3, actor="test")


def test_every_mistake_of_a_course_is_named_in_one_pass(with_therapist: Store) -> None:
    store = with_therapist
    treatment, ann = make_treatment(store, _form(), actor="test"), find_patients(store, "ann")[0].id
    bad = {"sessions": "0", "least_days": "3", "most_days": "1", "weekdays": [7], "hours": [["12:00", "09:00"]]}
    with pytest.raises(InputError) as refused:
        prescribe(store, ann, treatment, {**bad, "therapist": "X", "priority": "-1"}, prescribed_on=ON, actor="test")
    wrong = {fault.where for fault in refused.value.faults}
    assert wrong == {"sessions", "most_days", "weekdays", "hours[0]", "therapist", "priority", "prescribed_by"}


def test_another_patients_own_treatment_is_not_prescribed(with_therapist: Store) -> None:
    store = with_therapist
    bo = make_patient(store, "Bo Invented", actor="test").id
    base = make_treatment(store, _form(), actor="test")
    own = set_for_patient(store, bo, base, _form(), prescribed_by="Dr Made Up", prescribed_on=ON, actor="test")
    ann = find_patients(store, "ann")[0].id
    with pytest.raises(InputError, match="another patient's own"):
        prescribe(store, ann, own, COURSE, prescribed_on=ON, actor="test")
    prescribe(store, bo, own, COURSE, prescribed_on=ON, actor="test")
    assert courses_of_patient(store, bo)[0].is_own
