"""Coming days in bulk: what serves on them and what their plans hold; and what is prescribed or waited for."""

import datetime
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import func, select
from sqlmodel import Session, col

from app.models import (
    BookedVisit,
    Channel,
    ClinicDay,
    Course,
    DayStaff,
    DayUnit,
    DueBreak,
    HeldChannel,
    HeldHands,
    Patient,
    PlannedBreak,
    SavedPlan,
    Staff,
    Treatment,
    TreatmentVersion,
    Unit,
    UnitVersion,
    VisitPlaced,
    Waiting,
)
from app.queries.clinic_reading import staff_documents, unit_documents
from app.queries.versions import read_once
from solver.clock import Interval

Document = dict[str, Any]
ChannelOf = tuple[str, str]
"""A unit and a channel of it."""


@dataclass(frozen=True, slots=True)
class KeptDay:
    """A day that is kept. ``units`` and ``staff``: as in a day file, each with its hours and, of staff, the breaks that
    were planned or are due. ``held`` and ``hands``: what the plan holds. ``unplaced``: the treatments of visits that
    have no place."""

    opening: Interval
    units: Sequence[tuple[Document, Sequence[Interval]]]
    staff: Sequence[tuple[Document, Sequence[Interval], Sequence[Interval]]]
    held: Mapping[ChannelOf, Sequence[Interval]]
    hands: Mapping[str, Sequence[Interval]]
    unplaced: Sequence[int]


@dataclass(frozen=True, slots=True)
class OpenCourse:
    """``left``: sessions that are not booked; ``last``: the date of the last that is, None where none is."""

    treatment_version_id: int
    left: int
    least_days: int
    weekdays: Sequence[int] | None
    hours: Sequence[Sequence[int]] | None
    last: datetime.date | None


def kept_days(
    session: Session, clinic_id: int, first: datetime.date, last: datetime.date
) -> dict[datetime.date, KeptDay]:
    days = select(col(ClinicDay.id), col(ClinicDay.date), col(ClinicDay.open_min), col(ClinicDay.close_min))
    days = days.where(col(ClinicDay.clinic_id) == clinic_id, col(ClinicDay.date).between(first, last))
    rows = session.connection().execute(days).all()
    ids = [id for id, _, _, _ in rows]
    opening = {id: Interval(start, end) for id, _, start, end in rows}
    units, staff = _units(session, ids, opening), _staff(session, ids)
    held, hands, unplaced = _held(session, ids), _hands(session, ids), _unplaced(session, ids)
    return {
        date: KeptDay(opening[id], units[id], staff[id], held[id], hands[id], unplaced[id]) for id, date, _, _ in rows
    }


def open_courses(session: Session, clinic_id: int) -> list[OpenCourse]:
    """Those that have sessions left, of patients who are not forgotten."""
    query = (
        select(
            col(Course.treatment_version_id),
            col(Course.sessions) - func.count(col(BookedVisit.id)),
            col(Course.least_days),
            col(Course.weekdays),
            col(Course.hours),
            func.max(col(ClinicDay.date)),
        )
        .join(Patient, col(Patient.id) == col(Course.patient_id))
        .join(
            BookedVisit,
            (col(BookedVisit.course_id) == col(Course.id)) & col(BookedVisit.is_removed).is_(False),
            isouter=True,
        )
        .join(ClinicDay, col(ClinicDay.id) == col(BookedVisit.day_id), isouter=True)
        .where(col(Patient.clinic_id) == clinic_id, col(Patient.name) != "", col(Course.status) == "open")
        .group_by(col(Course.id))
        .order_by(col(Course.id))
    )
    return [course for row in session.connection().execute(query) if (course := OpenCourse(*row)).left > 0]


def waited_for(
    session: Session, clinic_id: int
) -> list[tuple[int, Sequence[int] | None, Sequence[Sequence[int]] | None]]:
    """The treatment of each who waits, and the weekdays and hours that suit them; None: any."""
    query = select(col(Waiting.treatment_version_id), col(Waiting.weekdays), col(Waiting.hours))
    query = query.join(Patient, col(Patient.id) == col(Waiting.patient_id)).where(col(Patient.name) != "")
    query = query.where(col(Waiting.clinic_id) == clinic_id, col(Waiting.is_removed).is_(False))
    return [(version, weekdays, hours) for version, weekdays, hours in session.connection().execute(query)]


def treatment_names(session: Session, versions: Sequence[int]) -> dict[int, str]:
    query = select(col(TreatmentVersion.id), col(Treatment.name))
    query = query.join(Treatment, col(Treatment.id) == col(TreatmentVersion.treatment_id))
    query = query.where(col(TreatmentVersion.id).in_(versions))
    return {id or 0: name for id, name in session.connection().execute(query)}


def _units(
    session: Session, ids: Sequence[int | None], opening: Mapping[int | None, Interval]
) -> Mapping[int | None, list[tuple[Document, Sequence[Interval]]]]:
    query = select(col(DayUnit.day_id), col(DayUnit.unit_version_id), col(DayUnit.hours))
    rows = session.connection().execute(query.where(col(DayUnit.day_id).in_(ids)).order_by(col(DayUnit.position))).all()
    known = read_once(session, "unit", [version for _, version, _ in rows], unit_documents)
    found: Mapping[int | None, list[tuple[Document, Sequence[Interval]]]] = defaultdict(list)
    for day, version, hours in rows:
        found[day].append((known[version], [opening[day]] if hours is None else _intervals(hours)))
    return found


def _staff(
    session: Session, ids: Sequence[int | None]
) -> Mapping[int | None, list[tuple[Document, Sequence[Interval], Sequence[Interval]]]]:
    """Breaks are those of the plan; on a day without one, those that are due, each at the begin of its time."""
    query = select(col(DayStaff.day_id), col(DayStaff.staff_version_id), col(DayStaff.hours))
    rows = (
        session.connection().execute(query.where(col(DayStaff.day_id).in_(ids)).order_by(col(DayStaff.position))).all()
    )
    known = read_once(session, "staff", [version for _, version, _ in rows], staff_documents)
    planned = select(col(PlannedBreak.day_id), col(Staff.code), col(PlannedBreak.start_min), col(PlannedBreak.end_min))
    planned = planned.join(Staff, col(Staff.id) == col(PlannedBreak.staff_id))
    planned = planned.where(col(PlannedBreak.day_id).in_(ids), col(PlannedBreak.is_current).is_(True))
    taken = defaultdict(list)
    for day, code, start, end in session.connection().execute(planned):
        taken[day, code].append(Interval(start, end))
    have_plans = select(col(SavedPlan.day_id)).where(col(SavedPlan.is_current).is_(True))
    due = select(col(DueBreak.day_id), col(DueBreak.staff_version_id), col(DueBreak.start_min), col(DueBreak.minutes))
    due = due.where(col(DueBreak.day_id).in_(ids), col(DueBreak.day_id).not_in(have_plans))
    for day, version, start, minutes in session.connection().execute(due):
        taken[day, known[version]["id"]].append(Interval(start, start + minutes))
    found: Mapping[int | None, list[tuple[Document, Sequence[Interval], Sequence[Interval]]]] = defaultdict(list)
    for day, version, hours in rows:
        found[day].append((known[version], _intervals(hours), taken[day, known[version]["id"]]))
    return found


def _held(session: Session, ids: Sequence[int | None]) -> Mapping[int | None, Mapping[ChannelOf, list[Interval]]]:
    query = (
        select(
            col(HeldChannel.day_id),
            col(Unit.code),
            col(Channel.code),
            col(HeldChannel.start_min),
            col(HeldChannel.end_min),
        )
        .join(Channel, col(Channel.id) == col(HeldChannel.channel_id))
        .join(UnitVersion, col(UnitVersion.id) == col(Channel.unit_version_id))
        .join(Unit, col(Unit.id) == col(UnitVersion.unit_id))
        .where(col(HeldChannel.day_id).in_(ids), col(HeldChannel.is_current).is_(True))
    )
    found: Mapping[int | None, dict[ChannelOf, list[Interval]]] = defaultdict(dict)
    for day, unit, channel, start, end in session.connection().execute(query):
        found[day].setdefault((unit, channel), []).append(Interval(start, end))
    return found


def _hands(session: Session, ids: Sequence[int | None]) -> Mapping[int | None, Mapping[str, list[Interval]]]:
    query = select(col(HeldHands.day_id), col(Staff.code), col(HeldHands.start_min), col(HeldHands.end_min))
    query = query.join(Staff, col(Staff.id) == col(HeldHands.staff_id))
    query = query.where(col(HeldHands.day_id).in_(ids), col(HeldHands.is_current).is_(True))
    found: Mapping[int | None, dict[str, list[Interval]]] = defaultdict(dict)
    for day, member, start, end in session.connection().execute(query):
        found[day].setdefault(member, []).append(Interval(start, end))
    return found


def _unplaced(session: Session, ids: Sequence[int | None]) -> Mapping[int | None, list[int]]:
    query = select(col(BookedVisit.day_id), col(BookedVisit.treatment_version_id))
    placed = select(col(VisitPlaced.visit_id)).where(col(VisitPlaced.is_current).is_(True))
    query = query.where(col(BookedVisit.day_id).in_(ids), col(BookedVisit.is_removed).is_(False))
    found: Mapping[int | None, list[int]] = defaultdict(list)
    for day, version in session.connection().execute(query.where(col(BookedVisit.id).not_in(placed))):
        found[day].append(version)
    return found


def _intervals(rows: Sequence[Sequence[int]]) -> list[Interval]:
    return [Interval(start, end) for start, end in rows]
