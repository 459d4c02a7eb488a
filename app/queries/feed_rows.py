"""What a staff member's calendar is made of: where they have visits, and where they last had those that they lost."""

import datetime
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.models import (
    Bay,
    BookedVisit,
    ClinicDay,
    DayUnit,
    HeldHands,
    PartPlaced,
    PlaceVersion,
    SavedPlan,
    Staff,
    Unit,
    UnitVersion,
)


@dataclass(frozen=True, slots=True)
class Had:
    """A visit's row in the newest plan that gave the visit to the member."""

    row: BookedVisit
    day: ClinicDay
    plan_id: int

    @property
    def first_id(self) -> int:
        return self.row.first_id or self.row.id or 0


@dataclass(frozen=True, slots=True)
class Where:
    """``start`` to ``end``: minutes, of all parts; unit, place and bay of the first."""

    start: int
    end: int
    unit: str
    place: str
    bay: str


def visits_had(session: Session, clinic_id: int, staff: str, since: datetime.date) -> list[Had]:
    """Every visit that the member ever had on a day from that date on, by that day, then by when they began."""
    query = select(BookedVisit, ClinicDay, func.max(HeldHands.plan_id))
    query = query.join(HeldHands, col(HeldHands.visit_id) == BookedVisit.id)
    query = query.join(ClinicDay, col(ClinicDay.id) == BookedVisit.day_id)
    query = query.join(Staff, col(Staff.id) == HeldHands.staff_id).where(Staff.code == staff)
    query = query.where(ClinicDay.clinic_id == clinic_id, ClinicDay.date >= since)
    rows = session.exec(query.group_by(col(BookedVisit.id), col(ClinicDay.id)))
    newest: dict[int, Had] = {}
    for had in sorted((Had(row, day, plan_id) for row, day, plan_id in rows), key=lambda one: one.plan_id):
        newest[had.first_id] = had
    return sorted(newest.values(), key=lambda one: (one.day.date, one.first_id))


def plans_in_use(session: Session, day_ids: Collection[int]) -> Mapping[int, SavedPlan]:
    """The current plan of each of the days, by the day's id."""
    query = select(SavedPlan).where(col(SavedPlan.day_id).in_(day_ids), col(SavedPlan.is_current).is_(True))
    return {saved.day_id: saved for saved in session.exec(query)}


def where_placed(session: Session, had: Collection[Had]) -> Mapping[int, Where]:
    """Where each visit was in that plan, by the visit's first row. A unit that is not there any more has its code."""
    named = select(DayUnit.day_id, UnitVersion.unit_id, UnitVersion.name)
    named = named.join(UnitVersion, col(UnitVersion.id) == DayUnit.unit_version_id)
    named = named.where(col(DayUnit.day_id).in_({one.row.day_id for one in had}))
    units = {(day_id, unit_id): name for day_id, unit_id, name in session.exec(named)}
    query = (
        select(PartPlaced, Unit.code, PlaceVersion.name, Bay.code)
        .join(Unit, col(Unit.id) == PartPlaced.unit_id)
        .join(Bay, col(Bay.id) == PartPlaced.bay_id)
        .join(PlaceVersion, col(PlaceVersion.id) == Bay.place_version_id)
        .where(col(PartPlaced.plan_id).in_({one.plan_id for one in had}))
        .where(col(PartPlaced.visit_id).in_([one.row.id for one in had]))
        .order_by(col(PartPlaced.part))
    )
    of_plan = {(one.plan_id, one.row.id): one.first_id for one in had}
    found: dict[int, Where] = {}
    for part, unit, place, bay in session.exec(query):
        first_id = of_plan.get((part.plan_id, part.visit_id))
        if first_id in found:
            found[first_id] = replace(found[first_id], end=part.end_min)
        elif first_id is not None:
            unit = units.get((part.day_id, part.unit_id), unit)
            found[first_id] = Where(part.start_min, part.end_min, unit, place, bay)
    return found
