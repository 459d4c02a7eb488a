"""What may be booked for a patient, and what is booked for them already."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from app.db.store import Store
from app.models import Course
from app.queries.catalogue import current_versions
from app.queries.clinics import the_clinic
from app.queries.courses import courses_of, staff_code
from app.queries.openings import coming_visits
from app.services.openings.asking import Wanted
from app.services.patients import patient_meant
from solver.clock import Interval

Kind = Literal["course", "own", "catalogue"]


@dataclass(frozen=True, slots=True)
class Prescribed:
    """What a course asks for; None or empty: anything."""

    hours: tuple[Interval, ...] = ()
    weekdays: frozenset[int] = frozenset()
    therapist: str = ""


@dataclass(frozen=True, slots=True)
class Bookable:
    """A course with sessions left, or a treatment. ``key`` tells it from the others; ``left``: sessions of a course."""

    key: str
    kind: Kind
    name: str
    wanted: Wanted
    left: int = 0
    prescribed: Prescribed = Prescribed()


@dataclass(frozen=True, slots=True)
class Coming:
    """A visit that is booked. ``start``: a minute; None where the day's plan leaves it out."""

    date: datetime.date
    code: str
    treatment: str
    start: int | None


def bookable_for(store: Store, patient_id: int) -> tuple[Bookable, ...]:
    """Open courses first, then the patient's own treatments, then the catalogue. Raises InputError: no such patient."""
    with store.reading() as session:
        clinic_id = the_clinic(session).id or 0
        patient_meant(session, clinic_id, patient_id)
        found = [
            Bookable(
                f"c{course.id}",
                "course",
                treatment.name,
                Wanted(patient_id=patient_id, treatment_version_id=version.id or 0, course_id=course.id),
                course.sessions - booked,
                _prescribed(course, staff_code(session, course.therapist_id)),
            )
            for course, treatment, version, booked in courses_of(session, patient_id)
            if course.status == "open" and booked < course.sessions
        ]
        lists: Mapping[Kind, Any] = {
            "own": current_versions(session, clinic_id, patient_id),
            "catalogue": current_versions(session, clinic_id, None),
        }
        for kind, rows in lists.items():
            found += [
                Bookable(
                    f"t{treatment.id}",
                    kind,
                    treatment.name,
                    Wanted(patient_id=patient_id, treatment_version_id=version.id or 0),
                )
                for treatment, version in rows
            ]
    return tuple(found)


def coming_for(store: Store, patient_id: int, since: datetime.date) -> tuple[Coming, ...]:
    """The patient's booked visits from that date on, by date."""
    with store.reading() as session:
        return tuple(Coming(*row) for row in coming_visits(session, the_clinic(session).id or 0, patient_id, since))


def _prescribed(course: Course, therapist: str) -> Prescribed:
    hours = tuple(Interval(*interval) for interval in course.hours or ())
    return Prescribed(hours, frozenset(course.weekdays or ()), therapist)
