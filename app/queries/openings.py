"""What the front desk's room asks of the database."""

import datetime
from collections.abc import Mapping
from typing import Any

from sqlalchemy import func
from sqlalchemy import select as select_columns
from sqlmodel import Session, col, select

from app.models import (
    Applicator,
    ApplicatorVersion,
    Audit,
    BookedVisit,
    Clinic,
    ClinicDay,
    PartPlaced,
    Place,
    PlaceVersion,
    Staff,
    StaffVersion,
    Treatment,
    TreatmentVersion,
    Unit,
    UnitVersion,
)
from app.queries.treatments import parts_of_versions
from app.queries.visits import BookedWith, booked_with_of

Document = dict[str, Any]


def versions_between(
    session: Session, clinic_id: int, first: datetime.date, last: datetime.date
) -> Mapping[datetime.date, int]:
    """The version of every day that is kept of these dates."""
    query = select(ClinicDay).where(ClinicDay.clinic_id == clinic_id)
    rows = session.exec(query.where(ClinicDay.date >= first, ClinicDay.date <= last))
    return {row.date: row.version for row in rows}


def set_up_mark(session: Session, clinic_id: int) -> tuple[int, ...]:
    """Another one after every change of what a day that nobody has booked is made from."""
    heads = (Clinic, Place, Unit, Applicator, Staff)
    numbers: list[Any] = [func.sum(head.set_up_version) for head in heads]
    versions = (PlaceVersion, UnitVersion, ApplicatorVersion, StaffVersion)
    numbers += [func.max(version.id) for version in versions]
    query: Any = select_columns(*(select_columns(number).scalar_subquery() for number in numbers))
    return (clinic_id, *(number or 0 for number in session.exec(query).one()))


def treatment_version(session: Session, clinic_id: int, version_id: int) -> tuple[Treatment, TreatmentVersion] | None:
    query = select(Treatment, TreatmentVersion).join(
        TreatmentVersion, col(TreatmentVersion.treatment_id) == Treatment.id
    )
    return session.exec(query.where(Treatment.clinic_id == clinic_id, TreatmentVersion.id == version_id)).first()


def parts_of_version(session: Session, version_id: int) -> list[Document]:
    """Its parts as in a day file."""
    return parts_of_versions(session, [version_id])[version_id]


def booked_with(session: Session, day_id: int, code: str) -> tuple[BookedWith, int] | None:
    """What the visit is booked with, and the id of its patient; None where the day has no such visit."""
    query = select(BookedVisit).where(BookedVisit.day_id == day_id, BookedVisit.code == code)
    visit = session.exec(query.where(col(BookedVisit.is_removed).is_(False))).first()
    if visit is None:
        return None
    return booked_with_of(visit), visit.patient_id


def placed_by(session: Session, day: ClinicDay, since: int) -> Mapping[str, str]:
    """Who placed each visit that was placed, or moved, after the day had the version; the last of them counts."""
    query = select(Audit).where(Audit.day_id == day.id, col(Audit.day_version) > since)
    actors = {}
    for audit in session.exec(query.order_by(col(Audit.day_version), col(Audit.id))):
        for code in audit.after.get("placed", {}):
            actors[code] = audit.actor
    return actors


def coming_visits(
    session: Session, clinic_id: int, patient_id: int, since: datetime.date
) -> list[tuple[datetime.date, str, str, int | None]]:
    """Date, code, treatment and planned start (a minute; None: left out) of the patient's visits from that date on."""
    query = (
        select(BookedVisit, ClinicDay, Treatment.name)
        .join(ClinicDay, col(ClinicDay.id) == BookedVisit.day_id)
        .join(TreatmentVersion, col(TreatmentVersion.id) == BookedVisit.treatment_version_id)
        .join(Treatment, col(Treatment.id) == TreatmentVersion.treatment_id)
        .where(ClinicDay.clinic_id == clinic_id, ClinicDay.date >= since)
        .where(BookedVisit.patient_id == patient_id, col(BookedVisit.is_removed).is_(False))
        .order_by(col(ClinicDay.date), col(BookedVisit.position))
    )
    found: list[tuple[datetime.date, str, str, int | None]] = []
    for visit, day, name in session.exec(query):
        first = select(func.min(PartPlaced.start_min)).where(PartPlaced.visit_id == visit.id)
        start = session.exec(first.where(col(PartPlaced.is_current).is_(True))).one()
        found.append((day.date, visit.code, name, start))
    return found


def sessions_of_course(session: Session, course_id: int) -> list[tuple[datetime.date, str]]:
    """The date and the code of each session of the course that is booked, by date."""
    query = select(ClinicDay, BookedVisit.code).join(BookedVisit, col(BookedVisit.day_id) == ClinicDay.id)
    query = query.where(BookedVisit.course_id == course_id, col(BookedVisit.is_removed).is_(False))
    return sorted((row.date, code) for row, code in session.exec(query))
