"""The visits of a day."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session, col, select

from app.models import BookedVisit, Patient, Staff, TreatmentVersion
from app.queries.clinic_reading import as_clocks
from app.queries.codes import ids_of, patient_ids
from app.queries.treatments import Treatments, parts_by_version
from solver.clock import clock
from solver.visits import Visit

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class BookedWith:
    """What no day file says of a visit: its treatment version, the course it is a session of, the clinician's answer to
    the screening questions, and the row that its life began with (None: it begins now)."""

    treatment_version_id: int
    course_id: int | None = None
    screening: str = ""
    first_id: int | None = None


NOTHING_SAID: Mapping[str, BookedWith] = {}


def visits_of(session: Session, day_id: int) -> list[Document]:
    """The visits as in a day file, in their order."""
    parts = parts_by_version(session, day_id)
    staff = dict(session.exec(select(Staff.id, Staff.code)).all())
    query = (
        select(BookedVisit, Patient.code, TreatmentVersion.same_unit)
        .join(Patient, col(Patient.id) == BookedVisit.patient_id)
        .join(TreatmentVersion, col(TreatmentVersion.id) == BookedVisit.treatment_version_id)
        .where(BookedVisit.day_id == day_id, col(BookedVisit.is_removed).is_(False))
        .order_by(col(BookedVisit.position))
    )
    return [
        {
            "id": row.code,
            "patient": patient,
            "priority": row.priority,
            **({} if row.free is None else {"free": as_clocks(row.free)}),
            "wish": None if row.wish_min is None else clock(row.wish_min),
            "therapist_wish": staff.get(row.therapist_wish_id),
            "therapist_must": staff.get(row.therapist_must_id),
            "place_tags": row.place_tags,
            "same_unit": same_unit,
            "parts": parts[row.treatment_version_id],
            "fixed": row.fixed,
        }
        for row, patient, same_unit in session.exec(query)
    ]


def write_visits(
    session: Session,
    clinic_id: int,
    day_id: int,
    visits: Sequence[Visit],
    documents: Sequence[Document],
    known: Mapping[str, Document],
    booked: Mapping[str, BookedWith] = NOTHING_SAID,
) -> None:
    """Make these the day's visits, in this order. ``documents``: they as in a day file; ``known``: those it has.

    ``booked``: by visit, what new ones are booked with. A treatment version that asks for something else than the visit
    is not taken.
    """
    rows = session.exec(select(BookedVisit).where(BookedVisit.day_id == day_id, col(BookedVisit.is_removed).is_(False)))
    before = {row.code: row for row in rows.all()}
    kept = dict(before)
    wanted = {document["id"]: document for document in documents}
    for code, row in list(kept.items()):
        if code not in wanted or not _same(wanted[code], known[code]):
            row.is_removed = True
            del kept[code]
    session.flush()
    patients = patient_ids(session, clinic_id, [visit.patient for visit in visits if visit.id not in kept])
    staff = ids_of(session, Staff, clinic_id)
    treatments = Treatments(session, clinic_id)
    for i, (visit, document) in enumerate(zip(visits, documents, strict=True)):
        if visit.id in kept:
            kept[visit.id].position = i
            continue
        patient_id, old = patients[visit.patient], before.get(visit.id)
        same_patient = old is not None and old.patient_id == patient_id
        said = booked.get(visit.id)
        if said is None and old is not None and same_patient:
            said = booked_with_of(old)
        version = None if said is None else said.treatment_version_id
        session.add(
            BookedVisit(
                day_id=day_id,
                code=visit.id,
                position=i,
                patient_id=patient_id,
                course_id=None if said is None else said.course_id,
                treatment_version_id=treatments.version_of(visit, document, patient_id, version),
                priority=visit.priority,
                free=None if visit.free is None else [list(interval) for interval in visit.free],
                wish_min=visit.wish,
                therapist_wish_id=None if visit.therapist_wish is None else staff[visit.therapist_wish],
                therapist_must_id=None if visit.therapist_must is None else staff[visit.therapist_must],
                place_tags=list(visit.place_tags),
                fixed=document["fixed"],
                screening="" if said is None else said.screening,
                first_id=None if said is None else said.first_id,
            )
        )
    session.flush()


def booked_with_of(row: BookedVisit) -> BookedWith:
    """What the row is booked with; a row made with it goes on with its life."""
    return BookedWith(row.treatment_version_id, row.course_id, row.screening, row.first_id or row.id)


def _same(one: Document, other: Document) -> bool:
    """Equal in everything, the order of keys too: that order is part of a file."""
    return repr(one) == repr(other)
