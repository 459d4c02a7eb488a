"""What the clinic has set up now: the current version of each thing, and when it is there."""

import datetime
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from sqlmodel import Session, col, select

from app.models import (
    Absence,
    Applicator,
    ApplicatorVersion,
    Clinic,
    Closure,
    Opening,
    OutOfService,
    Place,
    PlaceVersion,
    Staff,
    StaffVersion,
    Unit,
    UnitVersion,
    WeeklyBreak,
    WeeklyHours,
)
from app.queries.clinic_reading import (
    Versions,
    applicator_documents,
    place_documents,
    staff_documents,
    unit_documents,
)
from app.queries.current import current_version_ids
from solver.clinic import Break
from solver.clock import Interval

Document = dict[str, Any]
Kind = Literal["place", "unit", "applicator", "staff"]
KINDS: tuple[Kind, ...] = ("place", "unit", "applicator", "staff")
Head = Place | Unit | Applicator | Staff


@dataclass(frozen=True, slots=True)
class Thing:
    """``document``: its current version as in a day file, without what is said of a date only (hours, breaks)."""

    id: int
    code: str
    version: int
    is_retired: bool
    document: Document


@dataclass(frozen=True, slots=True)
class Span:
    """From one instant to another, in UTC."""

    id: int
    starts_at: datetime.datetime
    ends_at: datetime.datetime
    note: str


@dataclass(frozen=True, slots=True)
class SetUp:
    """``things`` by kind, oldest first. By weekday (0 is Monday): ``opening``, and of each staff id ``hours`` and
    ``breaks``. ``away`` by kind and id: absences of staff, and when units are out of service, by start."""

    clinic: Document
    version: int
    time_zone: str
    opening: Mapping[int, Interval]
    closures: Mapping[datetime.date, str]
    things: Mapping[Kind, Sequence[Thing]]
    hours: Mapping[tuple[int, int], Sequence[Interval]]
    breaks: Mapping[tuple[int, int], Sequence[Break]]
    away: Mapping[tuple[Kind, int], Sequence[Span]]

    def in_use(self, kind: Kind) -> list[Thing]:
        return [thing for thing in self.things[kind] if not thing.is_retired]

    def thing(self, kind: Kind, code: str) -> Thing | None:
        return next((thing for thing in self.things[kind] if thing.code == code), None)


def set_up_of(session: Session, clinic: Clinic) -> SetUp:
    assert clinic.id is not None
    openings = session.exec(select(Opening).where(Opening.clinic_id == clinic.id)).all()
    closures = session.exec(select(Closure).where(Closure.clinic_id == clinic.id).order_by(col(Closure.date))).all()
    fields = ("name", "time_zone", "step_min", "move_min", "bay_turnover_min", "aims", "what_to_bring")
    return SetUp(
        clinic={field: getattr(clinic, field) for field in fields},
        version=clinic.set_up_version,
        time_zone=clinic.time_zone,
        opening={row.weekday: Interval(row.start_min, row.end_min) for row in openings},
        closures={row.date: row.reason for row in closures},
        things={
            "place": _things(session, clinic.id, Place, PlaceVersion, "place_id", place_documents),
            "unit": _things(session, clinic.id, Unit, UnitVersion, "unit_id", unit_documents),
            "applicator": _things(
                session, clinic.id, Applicator, ApplicatorVersion, "applicator_id", applicator_documents
            ),
            "staff": _things(session, clinic.id, Staff, StaffVersion, "staff_id", staff_documents),
        },
        hours=_hours(session),
        breaks=_breaks(session),
        away=_away(session),
    )


def _things(
    session: Session,
    clinic_id: int,
    head: Any,
    version: Any,
    key: str,
    documents: Callable[[Session, Versions], dict[int, Document]],
) -> list[Thing]:
    of = select(getattr(version, key), version.id).where(version.id.in_(current_version_ids(head, version, key)))
    version_ids: dict[int, int] = dict(session.exec(of).all())
    heads = [
        row
        for row in session.exec(select(head).where(head.clinic_id == clinic_id).order_by(head.id)).all()
        if row.id in version_ids
    ]
    found = documents(session, [version_ids[row.id] for row in heads])
    return [Thing(row.id, row.code, row.set_up_version, row.is_retired, found[version_ids[row.id]]) for row in heads]


def _hours(session: Session) -> Mapping[tuple[int, int], Sequence[Interval]]:
    hours = defaultdict(list)
    for row in session.exec(select(WeeklyHours).order_by(col(WeeklyHours.start_min))):
        hours[row.staff_id, row.weekday].append(Interval(row.start_min, row.end_min))
    return hours


def _breaks(session: Session) -> Mapping[tuple[int, int], Sequence[Break]]:
    breaks = defaultdict(list)
    for row in session.exec(select(WeeklyBreak).order_by(col(WeeklyBreak.position))):
        due = Break(minutes=row.minutes, between=Interval(row.start_min, row.end_min))
        breaks[row.staff_id, row.weekday].append(due)
    return breaks


def _away(session: Session) -> Mapping[tuple[Kind, int], Sequence[Span]]:
    away: dict[tuple[Kind, int], list[Span]] = defaultdict(list)
    for absence in session.exec(select(Absence).order_by(col(Absence.starts_at), col(Absence.id))):
        span = Span(absence.id or 0, absence.starts_at, absence.ends_at, absence.note)
        away["staff", absence.staff_id].append(span)
    for out in session.exec(select(OutOfService).order_by(col(OutOfService.starts_at), col(OutOfService.id))):
        away["unit", out.unit_id].append(Span(out.id or 0, out.starts_at, out.ends_at, out.note))
    return away
