"""A day that nobody has booked yet, from weekly hours, absences, closures and out-of-service times."""

import datetime
from collections.abc import Iterable, Sequence
from zoneinfo import ZoneInfo

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.clock import local_minute
from app.models import (
    Absence,
    Applicator,
    ApplicatorVersion,
    Clinic,
    ClinicDay,
    Closure,
    DayApplicator,
    DayPlace,
    DayStaff,
    DayUnit,
    DueBreak,
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
from solver.clock import Interval


def add_new_day(session: Session, clinic: Clinic, date: datetime.date) -> ClinicDay | None:
    """The day's rows, with the newest version of everything that is in use; None where the clinic is closed."""
    assert clinic.id is not None
    closed = session.exec(select(Closure).where(Closure.clinic_id == clinic.id, Closure.date == date)).first()
    opening = session.get(Opening, (clinic.id, date.weekday()))
    if closed is not None or opening is None:
        return None
    day = ClinicDay(
        clinic_id=clinic.id,
        date=date,
        time_zone=clinic.time_zone,
        version=1,
        open_min=opening.start_min,
        close_min=opening.end_min,
        step_min=clinic.step_min,
        move_min=clinic.move_min,
        bay_turnover_min=clinic.bay_turnover_min,
        aims=clinic.aims,
    )
    session.add(day)
    session.flush()
    assert day.id is not None
    _add_places_and_pools(session, clinic.id, day.id)
    _add_units(session, clinic.id, day)
    _add_staff(session, clinic.id, day)
    session.flush()
    return day


def _add_places_and_pools(session: Session, clinic_id: int, day_id: int) -> None:
    places = select(func.max(PlaceVersion.id)).join(Place, col(Place.id) == PlaceVersion.place_id)
    places = places.where(Place.clinic_id == clinic_id, col(Place.is_retired).is_(False)).group_by(col(Place.id))
    for i, id in enumerate(session.exec(places.order_by(col(Place.id)))):
        session.add(DayPlace(day_id=day_id, place_version_id=_sure(id), position=i))
    pools = select(func.max(ApplicatorVersion.id)).join(
        Applicator, col(Applicator.id) == ApplicatorVersion.applicator_id
    )
    pools = pools.where(Applicator.clinic_id == clinic_id, col(Applicator.is_retired).is_(False))
    for i, id in enumerate(session.exec(pools.group_by(col(Applicator.id)).order_by(col(Applicator.id)))):
        session.add(DayApplicator(day_id=day_id, applicator_version_id=_sure(id), position=i))


def _add_units(session: Session, clinic_id: int, day: ClinicDay) -> None:
    units = select(Unit.id, func.max(UnitVersion.id)).join(UnitVersion, col(UnitVersion.unit_id) == Unit.id)
    units = units.where(Unit.clinic_id == clinic_id, col(Unit.is_retired).is_(False)).group_by(col(Unit.id))
    for i, (unit_id, version_id) in enumerate(session.exec(units.order_by(col(Unit.id)))):
        out = session.exec(select(OutOfService).where(OutOfService.unit_id == unit_id)).all()
        gone = _on_the_day(day, [(row.starts_at, row.ends_at) for row in out])
        hours = _without([Interval(day.open_min, day.close_min)], gone)
        kept = [list(interval) for interval in hours] if gone else None
        session.add(DayUnit(day_id=_sure(day.id), unit_version_id=_sure(version_id), position=i, hours=kept))


def _add_staff(session: Session, clinic_id: int, day: ClinicDay) -> None:
    staff = select(Staff.id, func.max(StaffVersion.id)).join(StaffVersion, col(StaffVersion.staff_id) == Staff.id)
    staff = staff.where(Staff.clinic_id == clinic_id, col(Staff.is_retired).is_(False)).group_by(col(Staff.id))
    weekday = day.date.weekday()
    for i, (staff_id, version_id) in enumerate(session.exec(staff.order_by(col(Staff.id))).all()):
        weekly = select(WeeklyHours).where(WeeklyHours.staff_id == staff_id, WeeklyHours.weekday == weekday)
        usual = [
            Interval(row.start_min, row.end_min) for row in session.exec(weekly.order_by(col(WeeklyHours.start_min)))
        ]
        away = session.exec(select(Absence).where(Absence.staff_id == staff_id)).all()
        hours = _without(usual, _on_the_day(day, [(row.starts_at, row.ends_at) for row in away]))
        kept = [list(interval) for interval in hours]
        session.add(DayStaff(day_id=_sure(day.id), staff_version_id=_sure(version_id), position=i, hours=kept))
        session.flush()
        breaks = select(WeeklyBreak).where(WeeklyBreak.staff_id == staff_id, WeeklyBreak.weekday == weekday)
        for due in session.exec(breaks.order_by(col(WeeklyBreak.position))).all():
            if _there_for(hours, due):
                row = due.model_dump(include={"position", "minutes", "start_min", "end_min"})
                session.add(DueBreak(day_id=_sure(day.id), staff_version_id=_sure(version_id), **row))


def _sure(id: int | None) -> int:
    """The id of a row that is there."""
    assert id is not None
    return id


def _there_for(hours: Iterable[Interval], due: WeeklyBreak) -> bool:
    """A break is due where the member is there for at least its length of the time that it is due in."""
    return any(min(end, due.end_min) - max(start, due.start_min) >= due.minutes for start, end in hours)


def _on_the_day(day: ClinicDay, spans: Iterable[tuple[datetime.datetime, datetime.datetime]]) -> list[Interval]:
    """What the spans cover of the day, in local minutes; a minute that is covered in part is covered."""
    zone, covered = ZoneInfo(day.time_zone), []
    for starts_at, ends_at in spans:
        rounded = ends_at + datetime.timedelta(seconds=59, microseconds=999_999)
        start, end = (local_minute(instant, day.date, zone) for instant in (starts_at, rounded))
        if end > start:
            covered.append(Interval(start, end))
    return covered


def _without(intervals: Sequence[Interval], gone: Iterable[Interval]) -> list[Interval]:
    left = list(intervals)
    for cut in gone:
        pieces = [(Interval(i.start, min(i.end, cut.start)), Interval(max(i.start, cut.end), i.end)) for i in left]
        left = [piece for pair in pieces for piece in pair if piece.minutes > 0]
    return left
