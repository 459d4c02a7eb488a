"""The waiting list: put on, changed, taken off. Nothing of a diagnosis is kept."""

import datetime
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from sqlmodel import Session

from app.db.store import Store
from app.errors import StaleRecordError
from app.models import Clinic, TreatmentVersion, Waiting
from app.models.columns import now
from app.queries.audits import add_audit
from app.queries.catalogue import current_versions
from app.queries.clinics import the_clinic
from app.queries.courses import courses_of, staff_code, therapist_codes
from app.queries.openings import treatment_version
from app.queries.patients import patient_row
from app.queries.staff import staff_names
from app.queries.waiting import entries_of, waiting_row, waiting_rows
from app.services.setup.texts import interval
from app.services.treatments.form import read_text
from app.typed import whole
from solver.clock import Interval, clock
from solver.errors import Fault, InputError
from solver.reading.faults import Faults
from solver.reading.kinds import INTERVALS, read_or


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingForm:
    """As it is filled in. ``patient`` and ``treatment``: their ids; ``hours``: ``09:00-12:00, 14:00-16:00``."""

    patient: str = ""
    treatment: str = ""
    priority: str = "1"
    weekdays: tuple[str, ...] = ()
    hours: str = ""
    therapist: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class WaitingLine:
    """``since``: by the clinic's clock. ``weekdays``: 0 is Monday; none: any. ``hours`` as in the form. ``version`` is
    what a change gives as read."""

    id: int
    patient_id: int
    patient: str
    treatment: str
    priority: int
    since: datetime.datetime
    weekdays: tuple[int, ...]
    hours: str
    therapist: str
    note: str
    version: int


def waiting_list(store: Store) -> list[WaitingLine]:
    """Those who wait, by priority, then by who has waited longest."""
    with store.reading() as session:
        clinic = the_clinic(session)
        zone = ZoneInfo(clinic.time_zone)
        return [
            WaitingLine(
                found.row.id or 0,
                found.patient.id or 0,
                found.patient.name,
                found.treatment,
                found.row.priority,
                found.row.since.astimezone(zone),
                tuple(found.row.weekdays or ()),
                ", ".join(f"{clock(start)}-{clock(end)}" for start, end in found.row.hours or ()),
                found.therapist or "",
                found.row.note,
                found.row.version,
            )
            for found in waiting_rows(session, clinic.id or 0)
        ]


@dataclass(frozen=True, slots=True)
class Waited:
    """What an entry asks for, by ids. ``course_id``: the one open course of the patient that it can be a session of.

    ``weekdays``, ``hours`` and ``therapist`` (a code): none: any.
    """

    patient_id: int
    treatment_id: int
    course_id: int | None
    weekdays: tuple[int, ...]
    hours: tuple[Interval, ...]
    therapist: str


def waited_for(store: Store, waiting_id: int) -> Waited | None:
    """None where nobody waits so."""
    with store.reading() as session:
        row = waiting_row(session, the_clinic(session).id or 0, waiting_id)
        version = None if row is None else session.get(TreatmentVersion, row.treatment_version_id)
        if row is None or version is None:
            return None
        courses = [
            course.id
            for course, treatment, _, booked in courses_of(session, row.patient_id)
            if treatment.id == version.treatment_id and course.status == "open" and booked < course.sessions
        ]
        return Waited(
            patient_id=row.patient_id,
            treatment_id=version.treatment_id,
            course_id=courses[0] if len(courses) == 1 else None,
            weekdays=tuple(row.weekdays or ()),
            hours=tuple(Interval(*hours) for hours in row.hours or ()),
            therapist=staff_code(session, row.therapist_wish_id),
        )


def waiting_choices(store: Store) -> tuple[dict[str, str], dict[str, str]]:
    """Names by what a form holds: of treatments by id, and of therapists by code."""
    with store.reading() as session:
        clinic_id = the_clinic(session).id or 0
        treatments = {str(treatment.id): treatment.name for treatment, _ in current_versions(session, clinic_id, None)}
        therapists = therapist_codes(session, clinic_id)
        names = staff_names(session, clinic_id)
        return treatments, {code: name for code, name in names.items() if code in therapists}


def put_on(store: Store, form: WaitingForm, *, actor: str, at: datetime.datetime | None = None) -> int:
    """The id of the new entry, or of the one that says the same already. ``at``: since when, for tests.

    Raises InputError with every fault, also where they wait for it already and something else was asked for.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        faults = Faults()
        patient_id = _patient(session, clinic, faults, form.patient)
        version_id = _treatment(session, clinic, faults, form.treatment)
        row = Waiting(
            clinic_id=clinic.id or 0, patient_id=patient_id, treatment_version_id=version_id, since=at or now()
        )
        _fill(session, clinic, faults, row, form)
        there = _already(session, clinic, row)
        if there is not None and (there.note, _said(session, there)) == (row.note, _said(session, row)):
            return there.id or 0
        if there is not None:
            raise InputError([Fault("patient", "they wait for this already", "change what is on the list")])
        session.add(row)
        session.flush()
        add_audit(session, clinic.id or 0, actor, "put on the waiting list", f"waiting {row.id}")
        return row.id or 0


def change(store: Store, waiting_id: int, form: WaitingForm, *, read: int, actor: str) -> None:
    """All but patient and treatment. Raises InputError with every fault, StaleRecordError where it was changed."""
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        row = _known(session, clinic, waiting_id, read)
        before = _said(session, row)
        _fill(session, clinic, Faults(), row, form)
        after = _said(session, row)
        if before != after:
            row.version += 1
            add_audit(session, clinic.id or 0, actor, "changed", f"waiting {row.id}", before=before, after=after)


def take_off(store: Store, waiting_id: int, *, read: int, actor: str) -> None:
    """Raises InputError where it is not on the list, StaleRecordError where it was changed since."""
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        _known(session, clinic, waiting_id, read).is_removed = True
        add_audit(session, clinic.id or 0, actor, "taken off the waiting list", f"waiting {waiting_id}")


def _fill(session: Session, clinic: Clinic, faults: Faults, row: Waiting, form: WaitingForm) -> None:
    priority = whole(form.priority)
    if priority is None or not 1 <= priority < 1000:
        faults.add("priority", f"{form.priority[:20]!r} is no priority", "give a whole number from 1 to 999")
    if any(day not in tuple("0123456") for day in form.weekdays):
        faults.add("weekdays", "this is no weekday", "choose of the seven")
    therapists = therapist_codes(session, clinic.id or 0)
    if form.therapist and form.therapist not in therapists:
        faults.add("therapist", f"{form.therapist[:40]!r} is no therapist", "choose one of the list")
    note = read_text(faults, "note", form.note)
    written = [interval(text) for text in form.hours.split(",")] if form.hours.strip() else []
    hours: tuple[Interval, ...] = read_or(faults, "hours", INTERVALS, written, ()) if written else ()
    faults.refuse_if_any()
    assert priority is not None
    row.priority, row.note = priority, note
    row.weekdays = sorted({int(day) for day in form.weekdays}) or None
    row.hours = [list(one) for one in hours] or None
    row.therapist_wish_id = therapists[form.therapist] if form.therapist else None


def _said(session: Session, row: Waiting) -> dict[str, object]:
    """Without the note: it may say what no record of changes has to keep."""
    therapist = staff_code(session, row.therapist_wish_id)
    return {"priority": row.priority, "weekdays": row.weekdays, "hours": row.hours, "therapist": therapist}


def _already(session: Session, clinic: Clinic, row: Waiting) -> Waiting | None:
    """The entry of the list of the same patient and the same treatment, in whatever version."""
    found = (waiting_row(session, clinic.id or 0, id) for id in entries_of(session, row.patient_id))
    wanted = _treatment_id(session, clinic, row)
    return next((one for one in found if one is not None and _treatment_id(session, clinic, one) == wanted), None)


def _treatment_id(session: Session, clinic: Clinic, row: Waiting) -> int | None:
    found = treatment_version(session, clinic.id or 0, row.treatment_version_id)
    return None if found is None else found[0].id


def _patient(session: Session, clinic: Clinic, faults: Faults, id: str) -> int:
    number = whole(id)
    found = None if number is None else patient_row(session, clinic.id or 0, number)
    if found is None or not found.name:
        faults.add("patient", "nobody is chosen", "find the patient by name or code, and choose one of those found")
        return 0
    return found.id or 0


def _treatment(session: Session, clinic: Clinic, faults: Faults, id: str) -> int:
    for treatment, version in current_versions(session, clinic.id or 0, None):
        if str(treatment.id) == id:
            return version.id or 0
    faults.add("treatment", "there is no such treatment", "choose one of the list")
    return 0


def _known(session: Session, clinic: Clinic, waiting_id: int, read: int) -> Waiting:
    row = waiting_row(session, clinic.id or 0, waiting_id)
    if row is None:
        raise InputError([Fault("waiting", "this is not on the list", "look at the list again")])
    if row.version != read:
        raise StaleRecordError(f"waiting {waiting_id}")
    return row
