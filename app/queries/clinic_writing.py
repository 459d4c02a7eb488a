"""What a day has, written as versions: one that is known is found again, another is added, none is altered."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.models import (
    Applicator,
    ApplicatorUnit,
    ApplicatorVersion,
    Battery,
    Bay,
    Channel,
    Item,
    Place,
    PlaceVersion,
    Staff,
    StaffVersion,
    Unit,
    UnitPlace,
    UnitVersion,
)
from app.queries.codes import digest_of, ids_of
from app.queries.versions import found_once
from solver import clinic as of_day
from solver.problem import Day

Document = Mapping[str, Any]
_OF_THE_DATE = ("hours", "breaks")
"""Keys of units and staff in a day file that say something of that date only."""


@dataclass(frozen=True, slots=True)
class Written:
    """The versions that a day uses, in its order."""

    places: list[int]
    units: list[int]
    applicators: list[int]
    staff: list[int]


def write_clinic(session: Session, clinic_id: int, day: Day, document: Document) -> Written:
    """The versions of everything that the day has. ``document``: the day as a day file."""
    places = ids_of(session, Place, clinic_id, [place.id for place in day.places])
    units = ids_of(session, Unit, clinic_id, [unit.id for unit in day.units])
    pools = ids_of(session, Applicator, clinic_id, [pool.id for pool in day.applicators])
    staff = ids_of(session, Staff, clinic_id, [member.id for member in day.staff])
    return Written(
        places=[
            _place_version(session, places[place.id], place, digest)
            for place, digest in zip(day.places, _digests(document["places"]), strict=True)
        ],
        units=[
            _unit_version(session, units[unit.id], unit, digest, places)
            for unit, digest in zip(day.units, _digests(document["units"]), strict=True)
        ],
        applicators=[
            _applicator_version(session, pools[pool.id], pool, digest, units)
            for pool, digest in zip(day.applicators, _digests(document["applicators"]), strict=True)
        ],
        staff=[
            _staff_version(session, staff[member.id], member, digest)
            for member, digest in zip(day.staff, _digests(document["staff"]), strict=True)
        ],
    )


def write_thing(
    session: Session,
    clinic_id: int,
    thing: of_day.Place | of_day.Unit | of_day.Applicator | of_day.StaffMember,
    document: Document,
) -> tuple[int, int]:
    """The id of the thing and of its version; rows are made where they are new. ``document``: it as in a day file."""
    (digest,) = _digests([document])
    match thing:
        case of_day.Place():
            id = ids_of(session, Place, clinic_id, [thing.id])[thing.id]
            return id, _place_version(session, id, thing, digest)
        case of_day.Unit():
            id = ids_of(session, Unit, clinic_id, [thing.id])[thing.id]
            places = ids_of(session, Place, clinic_id)
            return id, _unit_version(session, id, thing, digest, places)
        case of_day.Applicator():
            id = ids_of(session, Applicator, clinic_id, [thing.id])[thing.id]
            units = ids_of(session, Unit, clinic_id)
            return id, _applicator_version(session, id, thing, digest, units)
        case of_day.StaffMember():
            id = ids_of(session, Staff, clinic_id, [thing.id])[thing.id]
            return id, _staff_version(session, id, thing, digest)


def _digests(documents: Iterable[Document]) -> list[str]:
    return [
        digest_of({key: value for key, value in document.items() if key not in _OF_THE_DATE}) for document in documents
    ]


def _place_version(session: Session, place_id: int, place: of_day.Place, digest: str) -> int:
    of_place = col(PlaceVersion.place_id) == place_id
    same = select(PlaceVersion.id).where(of_place, PlaceVersion.digest == digest)
    known = found_once(session, "place", place_id, digest, lambda: session.exec(same).first())
    if known is not None:
        return known
    version = session.exec(select(func.count()).select_from(PlaceVersion).where(of_place)).one() + 1
    row = PlaceVersion(place_id=place_id, version=version, digest=digest, name=place.name, tags=list(place.tags))
    id = _added(session, row)
    session.add_all(Bay(place_version_id=id, position=i, code=code) for i, code in enumerate(place.bays))
    return id


def _unit_version(session: Session, unit_id: int, unit: of_day.Unit, digest: str, place_ids: Mapping[str, int]) -> int:
    of_unit = col(UnitVersion.unit_id) == unit_id
    same = select(UnitVersion.id).where(of_unit, UnitVersion.digest == digest)
    known = found_once(session, "unit", unit_id, digest, lambda: session.exec(same).first())
    if known is not None:
        return known
    version = session.exec(select(func.count()).select_from(UnitVersion).where(of_unit)).one() + 1
    row = UnitVersion(
        unit_id=unit_id, version=version, digest=digest, name=unit.name, patients_at_once=unit.patients_at_once
    )
    id = _added(session, row)
    session.add_all(
        Channel(unit_version_id=id, position=i, code=channel.id, drives=list(channel.drives))
        for i, channel in enumerate(unit.channels)
    )
    session.add_all(
        UnitPlace(unit_version_id=id, place_id=place_ids[place], position=i) for i, place in enumerate(unit.places)
    )
    if unit.battery is not None:
        session.add(_battery(id, unit.battery))
    return id


def _battery(unit_version_id: int, battery: of_day.Battery) -> Battery:
    return Battery(
        unit_version_id=unit_version_id,
        capacity_wh=battery.capacity_wh,
        start_pct=battery.start_pct,
        reserve_pct=battery.reserve_pct,
        standby_w=battery.standby_w,
        draw_w=dict(battery.draw_w),
        pump_w=battery.pump_w,
        charge_w=battery.charge_w,
        min_charge_min=battery.min_charge_min,
    )


def _applicator_version(
    session: Session, applicator_id: int, pool: of_day.Applicator, digest: str, unit_ids: Mapping[str, int]
) -> int:
    of_pool = col(ApplicatorVersion.applicator_id) == applicator_id
    same = select(ApplicatorVersion.id).where(of_pool, ApplicatorVersion.digest == digest)
    known = found_once(session, "applicator", applicator_id, digest, lambda: session.exec(same).first())
    if known is not None:
        return known
    version = session.exec(select(func.count()).select_from(ApplicatorVersion).where(of_pool)).one() + 1
    row = ApplicatorVersion(
        applicator_id=applicator_id,
        version=version,
        digest=digest,
        name=pool.name,
        turnaround_min=pool.turnaround_min,
        fits_all=pool.fits is None,
    )
    id = _added(session, row)
    session.add_all(Item(applicator_version_id=id, position=i, code=code) for i, code in enumerate(pool.items))
    session.add_all(
        ApplicatorUnit(applicator_version_id=id, unit_id=unit_ids[unit], position=i)
        for i, unit in enumerate(pool.fits or ())
    )
    return id


def _staff_version(session: Session, staff_id: int, member: of_day.StaffMember, digest: str) -> int:
    of_member = col(StaffVersion.staff_id) == staff_id
    same = select(StaffVersion.id).where(of_member, StaffVersion.digest == digest)
    known = found_once(session, "staff", staff_id, digest, lambda: session.exec(same).first())
    if known is not None:
        return known
    version = session.exec(select(func.count()).select_from(StaffVersion).where(of_member)).one() + 1
    row = StaffVersion(
        staff_id=staff_id,
        version=version,
        digest=digest,
        name=member.name,
        kind=member.kind,
        skills=list(member.skills),
        watch_free=member.watch_free,
        watch_busy=member.watch_busy,
    )
    return _added(session, row)


def _added(session: Session, row: PlaceVersion | UnitVersion | ApplicatorVersion | StaffVersion) -> int:
    session.add(row)
    session.flush()
    assert row.id is not None
    return row.id
