"""What the desk asks for: whose visit, of which treatment, and within what limits."""

import datetime
import secrets
from dataclasses import dataclass, replace

from sqlmodel import Session

from app.db.store import Store
from app.models import Clinic, Course
from app.models.visit import SCREENINGS
from app.queries.clinics import the_clinic
from app.queries.courses import courses_of
from app.queries.openings import parts_of_version, treatment_version
from app.queries.visits import BookedWith
from app.services.patients import patient_meant
from solver.clock import Interval
from solver.errors import Fault, InputError
from solver.problem import Day
from solver.reading.faults import Faults
from solver.reading.visit_reader import VISIT
from solver.references import visit_reference_faults
from solver.visits import Visit

_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
_CODE_LETTERS = 7
EVERY_WEEKDAY = frozenset(range(7))


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """``hours``: when the patient is free, on every date; empty: always. ``wish``: the wished start, a minute.

    ``first`` to ``last``: dates. ``weekdays``: 0 is Monday. ``tags``: of the place. ``within``: starts only.
    """

    first: datetime.date
    last: datetime.date
    weekdays: frozenset[int] = EVERY_WEEKDAY
    hours: tuple[Interval, ...] = ()
    wish: int | None = None
    therapist_wish: str | None = None
    therapist_must: str | None = None
    tags: tuple[str, ...] = ()
    within: Interval | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be booked: by the ids of the patient and of a treatment version, and of the course it is of.

    ``screening``: the clinician's answer to the screening questions, one of SCREENINGS.
    """

    patient_id: int
    treatment_version_id: int
    course_id: int | None = None
    screening: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """``visit``: as it would be booked, its hours those of the limits; ``booked_with``: what it would be booked for.

    ``own``: the date of a visit that is booked already, and is to be moved.
    """

    visit: Visit
    limits: Limits
    booked_with: BookedWith
    own: datetime.date | None = None

    def on(self, day: Day) -> Visit | None:
        """The visit on the day; None where the day knows nothing of what it needs.

        A wish for a therapist whom the day does not know is none there. One that is to be moved goes by another code
        where a visit of that day has its code.
        """
        visit = as_wished_on(day, self.visit)
        if list(visit_reference_faults(day.units, day.applicators, day.places, day.staff, visit)):
            return None
        is_anothers = self.own is not None and self.own != day.date and visit.id in day.visit_by_id
        return replace(visit, id=new_code()) if is_anothers else visit


def as_wished_on(day: Day, visit: Visit) -> Visit:
    """The visit without its wish for a therapist, where the day has none of that code."""
    return visit if visit.therapist_wish in (None, *day.staff_by_id) else replace(visit, therapist_wish=None)


def new_code() -> str:
    """A visit's code, made by chance: it names nobody."""
    return "b-" + "".join(secrets.choice(_LETTERS) for _ in range(_CODE_LETTERS))


def asked_for(store: Store, wanted: Wanted, limits: Limits, *, code: str | None = None) -> Asked:
    """Raises InputError where there is no such patient, treatment or course, or where they do not belong together."""
    with store.reading() as session:
        return asked_within(session, the_clinic(session), wanted, limits, code=code)


def asked_within(session: Session, clinic: Clinic, wanted: Wanted, limits: Limits, *, code: str | None = None) -> Asked:
    patient = patient_meant(session, clinic.id or 0, wanted.patient_id)
    if not patient.name:
        raise InputError([Fault("patient", "their data were removed on request", "make a new patient")])
    found = treatment_version(session, clinic.id or 0, wanted.treatment_version_id)
    if found is None or found[0].patient_id not in (None, wanted.patient_id):
        raise InputError([Fault("treatment", "there is no such treatment for this patient", "choose one of the list")])
    course = _course(session, wanted)
    document = {
        "id": code or new_code(),
        "patient": patient.code,
        "priority": 1 if course is None else course.priority,
        "same_unit": found[1].same_unit,
        "parts": parts_of_version(session, wanted.treatment_version_id),
    }
    faults = Faults()
    visit = VISIT.read(faults, "treatment", document)
    faults.refuse_if_any()
    return Asked(with_limits(visit, limits), limits, _booked_with(wanted))


def _booked_with(wanted: Wanted) -> BookedWith:
    if wanted.screening not in SCREENINGS:
        raise InputError([Fault("screening", "this is no answer", "choose one of the list")])
    return BookedWith(wanted.treatment_version_id, wanted.course_id, wanted.screening)


def with_limits(visit: Visit, limits: Limits) -> Visit:
    return replace(
        visit,
        free=limits.hours or None,
        wish=limits.wish,
        therapist_wish=limits.therapist_wish,
        therapist_must=limits.therapist_must,
        place_tags=limits.tags,
    )


def _course(session: Session, wanted: Wanted) -> Course | None:
    if wanted.course_id is None:
        return None
    for course, _, version, booked in courses_of(session, wanted.patient_id):
        if course.id == wanted.course_id:
            if version.id != wanted.treatment_version_id:
                what = "it is of another treatment"
            elif course.status != "open":
                what = f"it is {course.status}"
            elif booked >= course.sessions:
                what = f"all its {course.sessions} sessions are booked"
            else:
                return course
            raise InputError([Fault("course", what, "choose another course, or the treatment alone")])
    raise InputError([Fault("course", "there is no such course of this patient", "choose one of the patient's")])
