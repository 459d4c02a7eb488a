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
from app.queries.versions import read_once
from solver.clock import clock

Document = dict[str, Any]
Versions = Sequence[int]
"""Ids of versions."""


def units_of(session: Session, day_id: int) -> list[Document]:
    rows = session.exec(select(DayUnit).where(DayUnit.day_id == day_id).order_by(col(DayUnit.position))).all()
    documents = read_once(session, "unit", [row.unit_version_id for row in rows], unit_documents)
    return [
        unit_on_a_day(documents[row.unit_version_id], None if row.hours is None else as_clocks(row.hours))
        for row in rows
    ]


def applicators_of(session: Session, day_id: int) -> list[Document]:
    here = select(DayApplicator.applicator_version_id).where(DayApplicator.day_id == day_id)
    ids = session.exec(here.order_by(col(DayApplicator.position))).all()
    documents = read_once(session, "applicator", ids, applicator_documents)
    return [documents[id] for id in ids]


def places_of(session: Session, day_id: int) -> list[Document]:
    here = select(DayPlace.place_version_id).where(DayPlace.day_id == day_id)
    ids = session.exec(here.order_by(col(DayPlace.position))).all()
    documents = read_once(session, "place", ids, place_documents)
    return [documents[id] for id in ids]


def staff_of(session: Session, day_id: int) -> list[Document]:
    breaks: Mapping[int, list[Document]] = defaultdict(list)
    for due in session.exec(select(DueBreak).where(DueBreak.day_id == day_id).order_by(col(DueBreak.position))):
        between = [clock(due.start_min), clock(due.end_min)]
        breaks[due.staff_version_id].append({"min": due.minutes, "between": between})
    rows = session.exec(select(DayStaff).where(DayStaff.day_id == day_id).order_by(col(DayStaff.position))).all()
    documents = read_once(session, "staff", [row.staff_version_id for row in rows], staff_documents)
    return [
        member_on_a_day(documents[row.staff_version_id], as_clocks(row.hours), breaks[row.staff_version_id])
        for row in rows
    ]


def unit_on_a_day(unit: Document, hours: list[list[str]] | None) -> Document:
    """A unit as in a day file, its keys in the order of one. ``hours`` None: from open to close."""
    given = {} if hours is None else {"hours": hours}
    return {**{key: value for key, value in unit.items() if key != "battery"}, **given, "battery": unit["battery"]}


def member_on_a_day(member: Document, hours: list[list[str]], breaks: list[Document]) -> Document:
    """A staff member as in a day file, their keys in the order of one."""
    first = {key: member[key] for key in ("id", "name", "kind", "skills")}
    watch = {key: member[key] for key in ("watch_free", "watch_busy")}
    return {**first, "hours": hours, "breaks": breaks, **watch}


def unit_documents(session: Session, versions: Versions) -> dict[int, Document]:
    """Units as in a day file but without hours, by the id of the version."""
    channels, places = defaultdict(list), defaultdict(list)
    of_versions = select(Channel).where(col(Channel.unit_version_id).in_(versions))
    for channel in session.exec(of_versions.order_by(col(Channel.position))):
        channels[channel.unit_version_id].append({"id": channel.code, "drives": channel.drives})
    standing = select(UnitPlace.unit_version_id, Place.code).join(Place, col(Place.id) == UnitPlace.place_id)
    standing = standing.where(col(UnitPlace.unit_version_id).in_(versions)).order_by(col(UnitPlace.position))
    for version_id, place in session.exec(standing):
        places[version_id].append(place)
    batteries = {
        row.unit_version_id: row
        for row in session.exec(select(Battery).where(col(Battery.unit_version_id).in_(versions)))
    }
    query = select(UnitVersion, Unit.code).join(Unit, col(Unit.id) == UnitVersion.unit_id)
    return {
        (id := version.id or 0): {
            "id": code,
            "name": version.name,
            "channels": channels[id],
            "patients_at_once": version.patients_at_once,
            "places": places[id],
            "battery": _battery(batteries.get(id)),
        }
        for version, code in session.exec(query.where(col(UnitVersion.id).in_(versions)))
    }


def _battery(row: Battery | None) -> Document | None:
    return None if row is None else row.model_dump(exclude={"unit_version_id"})


def applicator_documents(session: Session, versions: Versions) -> dict[int, Document]:
    """Applicators as in a day file, by the id of the version."""
    items, fits = defaultdict(list), defaultdict(list)
    of_versions = select(Item).where(col(Item.applicator_version_id).in_(versions)).order_by(col(Item.position))
    for item in session.exec(of_versions):
        items[item.applicator_version_id].append(item.code)
    fitting = select(ApplicatorUnit.applicator_version_id, Unit.code).join(Unit, col(Unit.id) == ApplicatorUnit.unit_id)
    fitting = fitting.where(col(ApplicatorUnit.applicator_version_id).in_(versions))
    for version_id, unit in session.exec(fitting.order_by(col(ApplicatorUnit.position))):
        fits[version_id].append(unit)
    query = (
        select(ApplicatorVersion, Applicator.code)
        .join(Applicator, col(Applicator.id) == ApplicatorVersion.applicator_id)
        .where(col(ApplicatorVersion.id).in_(versions))
    )
    return {
        (id := version.id or 0): {
            "id": code,
            "name": version.name,
            "items": items[id],
            **({} if version.fits_all else {"fits": fits[id]}),
            "turnaround_min": version.turnaround_min,
        }
        for version, code in session.exec(query)
    }


def place_documents(session: Session, versions: Versions) -> dict[int, Document]:
    """Places as in a day file, by the id of the version."""
    bays = defaultdict(list)
    for bay in session.exec(select(Bay).where(col(Bay.place_version_id).in_(versions)).order_by(col(Bay.position))):
        bays[bay.place_version_id].append(bay.code)
    query = select(PlaceVersion, Place.code).join(Place, col(Place.id) == PlaceVersion.place_id)
    return {
        (id := version.id or 0): {"id": code, "name": version.name, "bays": bays[id], "tags": version.tags}
        for version, code in session.exec(query.where(col(PlaceVersion.id).in_(versions)))
    }


def staff_documents(session: Session, versions: Versions) -> dict[int, Document]:
    """Staff as in a day file but without hours and breaks, by the id of the version."""
    query = select(StaffVersion, Staff.code).join(Staff, col(Staff.id) == StaffVersion.staff_id)
    return {
        version.id or 0: {
            "id": code,
            "name": version.name,
            "kind": version.kind,
            "skills": version.skills,
            "watch_free": version.watch_free,
            "watch_busy": version.watch_busy,
        }
        for version, code in session.exec(query.where(col(StaffVersion.id).in_(versions)))
    }


def as_clocks(intervals: Iterable[Sequence[int]]) -> list[list[str]]:
    return [[clock(minute) for minute in interval] for interval in intervals]
