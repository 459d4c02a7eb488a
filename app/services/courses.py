"""Courses: a treatment prescribed for a patient, how often, and when.

A form is ``{"sessions", "least_days", "most_days", "weekdays": [0 for Monday …], "hours": [["09:00", "12:00"]],
"therapist": code, "priority", "prescribed_by"}``; numbers may stand as texts, and what is optional may be empty.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from sqlmodel import Session

from app.db.store import Store
from app.errors import StaleRecordError
from app.models import Course
from app.queries.audits import add_audit
from app.queries.catalogue import version_row
from app.queries.clinics import the_clinic
from app.queries.courses import course_row, courses_of, staff_code, therapist_codes
from app.services.patients import patient_meant
from app.services.treatments.catalogue import treatment_meant
from app.services.treatments.form import as_number, read_text
from solver.clock import clock
from solver.errors import Fault, InputError
from solver.reading.faults import Faults, RefusedError
from solver.reading.kinds import INTERVALS, WHOLE, read_or

_MOST_SESSIONS = 200
_MOST_DAYS = 365
_KEPT = ("sessions", "least_days", "most_days", "weekdays", "hours", "therapist_id", "priority", "prescribed_by")


@dataclass(frozen=True, slots=True)
class CourseLine:
    """A course of a patient. ``left``: sessions not booked yet; ``form`` as above; ``version`` is given as ``read``."""

    id: int
    treatment_id: int
    treatment: str
    treatment_version: int
    is_own: bool
    form: dict[str, Any]
    prescribed_on: date | None
    status: str
    booked: int
    left: int
    version: int


def prescribe(
    store: Store, patient_id: int, treatment_id: int, form: Mapping[str, Any], *, prescribed_on: date, actor: str
) -> int:
    """A new course with the version of the treatment that is prescribed now; its id.

    Raises InputError with every fault, also where the treatment is retired or another patient's own.
    """
    with store.writing() as session:
        clinic_id = the_clinic(session, to_write=True).id or 0
        patient_meant(session, clinic_id, patient_id)
        treatment = treatment_meant(session, clinic_id, treatment_id)
        if treatment.is_retired or treatment.patient_id not in (None, patient_id):
            what = "it is retired" if treatment.is_retired else "it is another patient's own"
            raise InputError([Fault("treatment", what, "choose another of the list")])
        values = _read(form, therapist_codes(session, clinic_id))
        version = version_row(session, treatment.id, treatment.version).id or 0
        course = Course(patient_id=patient_id, treatment_version_id=version, prescribed_on=prescribed_on, **values)
        session.add(course)
        session.flush()
        after = {"patient": patient_id, "treatment": treatment.id, "version": treatment.version, **_said(values)}
        add_audit(session, clinic_id, actor, "prescribed", f"course {course.id}", after=after)
        return course.id or 0


def change_course(store: Store, course_id: int, form: Mapping[str, Any], *, read: int, actor: str) -> None:
    """What is booked stays. Raises InputError with every fault, StaleRecordError where it was changed since."""
    with store.writing() as session:
        clinic_id = the_clinic(session, to_write=True).id or 0
        course = _not_stale(session, clinic_id, course_id, read)
        if course.status != "open":
            raise InputError([Fault("course", f"it is {course.status}", "prescribe a new one")])
        values = _read(form, therapist_codes(session, clinic_id))
        changed = [key for key in _KEPT if getattr(course, key) != values[key]]
        if changed:
            before = _said({key: getattr(course, key) for key in changed})
            _put(session, course, values)
            after = _said({key: values[key] for key in changed})
            add_audit(session, clinic_id, actor, "changed", f"course {course_id}", before=before, after=after)


def end_course(store: Store, course_id: int, status: Literal["finished", "ended"], *, read: int, actor: str) -> None:
    """``finished``: as prescribed; ``ended``: before that. What is booked stays booked. Raises as ``change_course``."""
    with store.writing() as session:
        clinic_id = the_clinic(session, to_write=True).id or 0
        course = _not_stale(session, clinic_id, course_id, read)
        if course.status != "open":
            raise InputError([Fault("course", f"it is {course.status} already", "leave it as it is")])
        _put(session, course, {"status": status})
        before, after = {"status": "open"}, {"status": status}
        add_audit(session, clinic_id, actor, "ended", f"course {course_id}", before=before, after=after)


def courses_of_patient(store: Store, patient_id: int) -> list[CourseLine]:
    """The newest first. Raises InputError where there is no such patient."""
    with store.reading() as session:
        patient_meant(session, the_clinic(session).id or 0, patient_id)
        return [
            CourseLine(
                id=course.id or 0,
                treatment_id=treatment.id or 0,
                treatment=treatment.name,
                treatment_version=version.version,
                is_own=treatment.patient_id is not None,
                form=_form(course, staff_code(session, course.therapist_id)),
                prescribed_on=course.prescribed_on,
                status=course.status,
                booked=booked,
                left=max(0, course.sessions - booked),
                version=course.version,
            )
            for course, treatment, version, booked in courses_of(session, patient_id)
        ]


def _not_stale(session: Session, clinic_id: int, course_id: int, read: int) -> Course:
    course = course_row(session, clinic_id, course_id)
    if course is None:
        raise InputError([Fault("course", "there is no such course", "choose one of the patient's")])
    if course.version != read:
        raise StaleRecordError(f"course {course_id}")
    return course


def _put(session: Session, course: Course, values: Mapping[str, Any]) -> None:
    for key, value in values.items():
        setattr(course, key, value)
    course.version += 1
    session.add(course)
    session.flush()


def _said(values: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in values.items() if value is not None}


def _read(form: Mapping[str, Any], therapists: Mapping[str, int]) -> dict[str, Any]:
    faults = Faults()
    sessions = _count(faults, "sessions", form.get("sessions"), 1, _MOST_SESSIONS)
    least = _count(faults, "least_days", form.get("least_days"), 0, _MOST_DAYS)
    most = _count(faults, "most_days", form.get("most_days"), 0, _MOST_DAYS)
    if least is not None and most is not None and most < least:
        faults.add("most_days", f"{most} is fewer than the least, {least}", f"give {least} or more")
    priority = _count(faults, "priority", form.get("priority") or 1, 1, 1_000)
    weekdays = form.get("weekdays") or None
    if weekdays is not None:
        read = [as_number(day) for day in weekdays] if isinstance(weekdays, list) else []
        if not read or any(not isinstance(day, int) or not 0 <= day <= 6 for day in read):
            faults.add("weekdays", "this is no list of weekdays", "give numbers from 0, Monday, to 6, Sunday")
        weekdays = sorted({day for day in read if isinstance(day, int)})
    hours = read_or(faults, "hours", INTERVALS, form["hours"], None) if form.get("hours") else None
    therapist = form.get("therapist") or None
    if therapist is not None and therapist not in therapists:
        some = ", ".join(sorted(therapists)[:10]) or "nobody: there is no therapist yet"
        faults.add("therapist", f"there is no therapist {str(therapist)[:40]!r}", f"give one of {some}")
    prescribed_by = read_text(faults, "prescribed_by", form.get("prescribed_by"), needed="the prescriber's name")
    faults.refuse_if_any()
    return {
        "sessions": sessions,
        "least_days": least,
        "most_days": most,
        "weekdays": weekdays,
        "hours": None if hours is None else [list(interval) for interval in hours],
        "therapist_id": None if therapist is None else therapists[therapist],
        "priority": priority,
        "prescribed_by": prescribed_by,
    }


def _count(faults: Faults, where: str, value: object, least: int, most: int) -> int | None:
    try:
        number = WHOLE.read(faults, where, as_number(value))
    except RefusedError:
        return None
    if not least <= number <= most:
        faults.add(where, f"{number} stands here", f"give a whole number from {least} to {most}")
    return number


def _form(course: Course, therapist: str) -> dict[str, Any]:
    return {
        "sessions": str(course.sessions),
        "least_days": str(course.least_days),
        "most_days": str(course.most_days),
        "weekdays": course.weekdays or [],
        "hours": [[clock(minute) for minute in interval] for interval in course.hours or ()],
        "therapist": therapist,
        "priority": str(course.priority),
        "prescribed_by": course.prescribed_by,
    }
