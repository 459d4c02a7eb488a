"""What a day has, read from its versions, as the lists of a day file."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlmodel import Session, col, select

from app.models import (
    Applicator,
    ApplicatorUnit,
    ApplicatorVersion,
    Battery,
    Bay,
    Channel,
    DayApplicator,
    DayPlace,
    DayStaff,
    DayUnit,
    DueBreak,
    Item,
    Place,
    PlaceVersion,
    Staff,
    StaffVersion,
    Unit,
    UnitPlace,
    UnitVersion,
)
from solver.clock import clock

Document = dict[str, Any]


def units_of(session: Session, day_id: int) -> list[Document]:
    here = select(DayUnit.unit_version_id).where(DayUnit.day_id == day_id)
    channels, places = defaultdict(list), defaultdict(list)
    of_day = select(Channel).where(col(Channel.unit_version_id).in_(here))
    for channel in session.exec(of_day.order_by(col(Channel.position))):
        channels[channel.unit_version_id].append({"id": channel.code, "drives": channel.drives})
    standing = select(UnitPlace.unit_version_id, Place.code).join(Place, col(Place.id) == UnitPlace.place_id)
    standing = standing.where(col(UnitPlace.unit_version_id).in_(here)).order_by(col(UnitPlace.position))
    for version, place in session.exec(standing):
        places[version].append(place)
    batteries = {
        row.unit_version_id: row for row in session.exec(select(Battery).where(col(Battery.unit_version_id).in_(here)))
    }
    query = (
        select(DayUnit, UnitVersion, Unit.code)
        .join(UnitVersion, col(UnitVersion.id) == DayUnit.unit_version_id)
        .join(Unit, col(Unit.id) == UnitVersion.unit_id)
        .where(DayUnit.day_id == day_id)
        .order_by(col(DayUnit.position))
    )
    return [
        {
            "id": code,
            "name": version.name,
            "channels": channels[row.unit_version_id],
            "patients_at_once": version.patients_at_once,
            "places": places[row.unit_version_id],
            **({} if row.hours is None else {"hours": as_clocks(row.hours)}),
            "battery": _battery(batteries.get(row.unit_version_id)),
        }
        for row, version, code in session.exec(query)
    ]


def _battery(row: Battery | None) -> Document | None:
    return None if row is None else row.model_dump(exclude={"unit_version_id"})


def applicators_of(session: Session, day_id: int) -> list[Document]:
    here = select(DayApplicator.applicator_version_id).where(DayApplicator.day_id == day_id)
    items, fits = defaultdict(list), defaultdict(list)
    of_day = select(Item).where(col(Item.applicator_version_id).in_(here)).order_by(col(Item.position))
    for item in session.exec(of_day):
        items[item.applicator_version_id].append(item.code)
    fitting = select(ApplicatorUnit.applicator_version_id, Unit.code).join(Unit, col(Unit.id) == ApplicatorUnit.unit_id)
    fitting = fitting.where(col(ApplicatorUnit.applicator_version_id).in_(here)).order_by(col(ApplicatorUnit.position))
    for version_id, unit in session.exec(fitting):
        fits[version_id].append(unit)
    query = (
        select(DayApplicator.applicator_version_id, ApplicatorVersion, Applicator.code)
        .join(ApplicatorVersion, col(ApplicatorVersion.id) == DayApplicator.applicator_version_id)
        .join(Applicator, col(Applicator.id) == ApplicatorVersion.applicator_id)
        .where(DayApplicator.day_id == day_id)
        .order_by(col(DayApplicator.position))
    )
    return [
        {
            "id": code,
            "name": version.name,
            "items": items[id],
            **({} if version.fits_all else {"fits": fits[id]}),
            "turnaround_min": version.turnaround_min,
        }
        for id, version, code in session.exec(query)
    ]


def places_of(session: Session, day_id: int) -> list[Document]:
    bays = defaultdict(list)
    here = select(DayPlace.place_version_id).where(DayPlace.day_id == day_id)
    for bay in session.exec(select(Bay).where(col(Bay.place_version_id).in_(here)).order_by(col(Bay.position))):
        bays[bay.place_version_id].append(bay.code)
    query = (
        select(DayPlace.place_version_id, PlaceVersion, Place.code)
        .join(PlaceVersion, col(PlaceVersion.id) == DayPlace.place_version_id)
        .join(Place, col(Place.id) == PlaceVersion.place_id)
        .where(DayPlace.day_id == day_id)
        .order_by(col(DayPlace.position))
    )
    return [
        {"id": code, "name": version.name, "bays": bays[id], "tags": version.tags}
        for id, version, code in session.exec(query)
    ]


def staff_of(session: Session, day_id: int) -> list[Document]:
    breaks: Mapping[int, list[Document]] = defaultdict(list)
    for due in session.exec(select(DueBreak).where(DueBreak.day_id == day_id).order_by(col(DueBreak.position))):
        between = [clock(due.start_min), clock(due.end_min)]
        breaks[due.staff_version_id].append({"min": due.minutes, "between": between})
    query = (
        select(DayStaff, StaffVersion, Staff.code)
        .join(StaffVersion, col(StaffVersion.id) == DayStaff.staff_version_id)
        .join(Staff, col(Staff.id) == StaffVersion.staff_id)
        .where(DayStaff.day_id == day_id)
        .order_by(col(DayStaff.position))
    )
    return [
        {
            "id": code,
            "name": version.name,
            "kind": version.kind,
            "skills": version.skills,
            "hours": as_clocks(row.hours),
            "breaks": breaks[row.staff_version_id],
            "watch_free": version.watch_free,
            "watch_busy": version.watch_busy,
        }
        for row, version, code in session.exec(query)
    ]


def as_clocks(intervals: Iterable[Sequence[int]]) -> list[list[str]]:
    return [[clock(minute) for minute in interval] for interval in intervals]
