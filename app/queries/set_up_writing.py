"""What the clinic has set up, written. Versions of things are added; hours, absences and closures are replaced."""

import datetime
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import delete, update
from sqlmodel import Session, col

from app.models import (
    Absence,
    Applicator,
    ApplicatorVersion,
    Clinic,
    ClinicDay,
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
from app.queries.clinic_writing import write_thing
from app.queries.set_up_reading import Head, Kind
from solver import clinic as of_day
from solver.clinic import Break
from solver.clock import Interval

_HEADS: dict[Kind, Any] = {"place": Place, "unit": Unit, "applicator": Applicator, "staff": Staff}
_VERSIONS: dict[Kind, Any] = {
    "place": PlaceVersion,
    "unit": UnitVersion,
    "applicator": ApplicatorVersion,
    "staff": StaffVersion,
}
AnyThing = of_day.Place | of_day.Unit | of_day.Applicator | of_day.StaffMember


def put_current(session: Session, clinic_id: int, kind: Kind, thing: AnyThing, document: Mapping[str, Any]) -> Head:
    """Make it the current version of the thing, which is made where it is new. ``document``: it as in a day file."""
    id, version_id = write_thing(session, clinic_id, thing, document)
    row: Head = session.get_one(_HEADS[kind], id)
    row.current_version = session.get_one(_VERSIONS[kind], version_id).version
    session.add(row)
    session.flush()
    return row


def head_of(session: Session, kind: Kind, id: int) -> Head:
    row: Head = session.get_one(_HEADS[kind], id)
    return row


def put_hours(
    session: Session,
    staff_id: int,
    hours: Mapping[int, Sequence[Interval]],
    breaks: Mapping[int, Sequence[Break]],
) -> None:
    """Somebody's weekly hours and breaks, by weekday, in the place of those there were."""
    connection = session.connection()
    connection.execute(delete(WeeklyHours).where(col(WeeklyHours.staff_id) == staff_id))
    connection.execute(delete(WeeklyBreak).where(col(WeeklyBreak.staff_id) == staff_id))
    session.expire_all()
    session.add_all(
        WeeklyHours(staff_id=staff_id, weekday=weekday, start_min=start, end_min=end)
        for weekday, intervals in hours.items()
        for start, end in intervals
    )
    session.add_all(
        WeeklyBreak(
            staff_id=staff_id,
            weekday=weekday,
            position=i,
            minutes=due.minutes,
            start_min=due.between.start,
            end_min=due.between.end,
        )
        for weekday, dues in breaks.items()
        for i, due in enumerate(dues)
    )
    session.flush()


def put_opening(session: Session, clinic_id: int, opening: Mapping[int, Interval]) -> None:
    """The weekly opening hours, in the place of those there were."""
    session.connection().execute(delete(Opening).where(col(Opening.clinic_id) == clinic_id))
    session.expire_all()
    session.add_all(
        Opening(clinic_id=clinic_id, weekday=weekday, start_min=start, end_min=end)
        for weekday, (start, end) in opening.items()
    )
    session.flush()


def put_closure(session: Session, clinic_id: int, date: datetime.date, reason: str | None) -> None:
    """Closed on the date; ``reason`` None: not any more."""
    row = session.get(Closure, (clinic_id, date))
    if reason is None:
        session.delete(row)
    elif row is None:
        session.add(Closure(clinic_id=clinic_id, date=date, reason=reason))
    else:
        row.reason = reason
    session.flush()


def put_span(
    session: Session,
    kind: Kind,
    of: int,
    id: int | None,
    starts_at: datetime.datetime,
    ends_at: datetime.datetime,
    note: str,
) -> int:
    """An absence (of staff) or a time out of service (of a unit); ``id`` None: another one. Its id."""
    row: Absence | OutOfService
    if id is not None:
        row = session.get_one(Absence, id) if kind == "staff" else session.get_one(OutOfService, id)
        row.starts_at, row.ends_at, row.note = starts_at, ends_at, note
    elif kind == "staff":
        row = Absence(staff_id=of, starts_at=starts_at, ends_at=ends_at, note=note)
    else:
        row = OutOfService(unit_id=of, starts_at=starts_at, ends_at=ends_at, note=note)
    session.add(row)
    session.flush()
    assert row.id is not None
    return row.id


def remove_span(session: Session, kind: Kind, id: int) -> None:
    session.delete(session.get_one(Absence if kind == "staff" else OutOfService, id))
    session.flush()


def put_zone(session: Session, clinic: Clinic, zone: str, since: datetime.date) -> None:
    """The clinic's time zone, and that of its days from the date on."""
    clinic.time_zone = zone
    session.add(clinic)
    session.flush()
    days = update(ClinicDay).where(col(ClinicDay.clinic_id) == clinic.id, col(ClinicDay.date) >= since)
    session.connection().execute(days.values(time_zone=zone))
    session.expire_all()
