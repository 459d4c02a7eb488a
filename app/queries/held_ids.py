"""The rows that a plan of a day may name, by the codes that a plan file names them with."""

from collections.abc import Mapping
from dataclasses import dataclass

from sqlmodel import Session, col, select

from app.models import (
    Applicator,
    ApplicatorVersion,
    Bay,
    BookedVisit,
    Channel,
    DayApplicator,
    DayPlace,
    DayStaff,
    DayUnit,
    Item,
    Staff,
    StaffVersion,
    Unit,
    UnitVersion,
)


@dataclass(frozen=True, slots=True)
class HeldIds:
    """``channels`` by unit and channel, ``items`` by pool and item."""

    visits: Mapping[str, int]
    units: Mapping[str, int]
    channels: Mapping[tuple[str, str], int]
    items: Mapping[tuple[str, str], int]
    bays: Mapping[str, int]
    staff: Mapping[str, int]


def held_ids(session: Session, day_id: int) -> HeldIds:
    visits = select(BookedVisit.code, BookedVisit.id).where(
        BookedVisit.day_id == day_id, col(BookedVisit.is_removed).is_(False)
    )
    units = (
        select(Unit.code, Unit.id)
        .join(UnitVersion, col(UnitVersion.unit_id) == Unit.id)
        .join(DayUnit, col(DayUnit.unit_version_id) == UnitVersion.id)
        .where(DayUnit.day_id == day_id)
    )
    channels = (
        select(Unit.code, Channel.code, Channel.id)
        .join(UnitVersion, col(UnitVersion.id) == Channel.unit_version_id)
        .join(Unit, col(Unit.id) == UnitVersion.unit_id)
        .join(DayUnit, col(DayUnit.unit_version_id) == UnitVersion.id)
        .where(DayUnit.day_id == day_id)
    )
    items = (
        select(Applicator.code, Item.code, Item.id)
        .join(ApplicatorVersion, col(ApplicatorVersion.id) == Item.applicator_version_id)
        .join(Applicator, col(Applicator.id) == ApplicatorVersion.applicator_id)
        .join(DayApplicator, col(DayApplicator.applicator_version_id) == ApplicatorVersion.id)
        .where(DayApplicator.day_id == day_id)
    )
    bays = select(Bay.code, Bay.id).join(DayPlace, col(DayPlace.place_version_id) == Bay.place_version_id)
    staff = (
        select(Staff.code, Staff.id)
        .join(StaffVersion, col(StaffVersion.staff_id) == Staff.id)
        .join(DayStaff, col(DayStaff.staff_version_id) == StaffVersion.id)
        .where(DayStaff.day_id == day_id)
    )
    return HeldIds(
        visits={code: id for code, id in session.exec(visits) if id is not None},
        units={code: id for code, id in session.exec(units) if id is not None},
        channels={(unit, code): id for unit, code, id in session.exec(channels) if id is not None},
        items={(pool, code): id for pool, code, id in session.exec(items) if id is not None},
        bays={code: id for code, id in session.exec(bays.where(DayPlace.day_id == day_id)) if id is not None},
        staff={code: id for code, id in session.exec(staff) if id is not None},
    )
