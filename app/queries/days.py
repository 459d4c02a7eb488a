"""A day: its frame, what is there on it, and its visits, written and read whole."""

import datetime
import json
from collections.abc import Sequence
from typing import Any

from sqlalchemy import delete, func, insert
from sqlmodel import Session, col, select

from app.models import (
    Clinic,
    ClinicDay,
    DayApplicator,
    DayPlace,
    DayStaff,
    DayUnit,
    DueBreak,
    ToldVisit,
)
from app.queries.clinic_reading import applicators_of, places_of, staff_of, units_of
from app.queries.clinic_writing import write_clinic
from app.queries.visits import visits_of
from solver.clock import Interval, clock
from solver.problem import Day
from solver.reading.day_reader import DAY_FORMAT, read_day_value

Document = dict[str, Any]


def day_row(session: Session, clinic_id: int, date: datetime.date) -> ClinicDay | None:
    return session.exec(select(ClinicDay).where(ClinicDay.clinic_id == clinic_id, ClinicDay.date == date)).first()


def version_of(session: Session, clinic_id: int, date: datetime.date) -> int:
    """The day's version; 0 where nothing is kept of the date."""
    query = select(ClinicDay.version).where(ClinicDay.clinic_id == clinic_id, ClinicDay.date == date)
    return session.exec(query).first() or 0


def day_rows_from(session: Session, clinic_id: int, date: datetime.date) -> Sequence[ClinicDay]:
    """The days of the date and after it, by date."""
    query = select(ClinicDay).where(ClinicDay.clinic_id == clinic_id, ClinicDay.date >= date)
    return session.exec(query.order_by(col(ClinicDay.date))).all()


def count_days_from(session: Session, clinic_id: int, date: datetime.date) -> int:
    """How many there are of the date and after it."""
    query = select(func.count()).select_from(ClinicDay)
    return session.exec(query.where(ClinicDay.clinic_id == clinic_id, ClinicDay.date >= date)).one()


def read_day(session: Session, row: ClinicDay) -> Day:
    """The day of the row. Raises InputError where the rows make no right day."""
    assert row.id is not None
    told = select(ToldVisit.told).where(ToldVisit.day_id == row.id).order_by(col(ToldVisit.position))
    return read_day_value(
        {
            "format": DAY_FORMAT,
            "date": row.date.isoformat(),
            "step_min": row.step_min,
            "open": clock(row.open_min),
            "close": clock(row.close_min),
            "move_min": row.move_min,
            "bay_turnover_min": row.bay_turnover_min,
            "units": units_of(session, row.id),
            "applicators": applicators_of(session, row.id),
            "places": places_of(session, row.id),
            "staff": staff_of(session, row.id),
            "visits": visits_of(session, row.id),
            "published": list(session.exec(told)),
            "aims": row.aims,
        }
    )


def write_frame(session: Session, clinic: Clinic, row: ClinicDay | None, day: Day, document: Document) -> ClinicDay:
    """All of the day but its visits and what was told: the row, made where it is None, and what is there on the day."""
    assert clinic.id is not None
    if row is None:
        row = ClinicDay(
            clinic_id=clinic.id,
            date=day.date,
            time_zone=clinic.time_zone,
            version=1,
            open_min=day.open,
            close_min=day.close,
            step_min=day.step_min,
            move_min=day.move_min,
            bay_turnover_min=day.bay_turnover_min,
            aims=list(day.aims),
        )
    else:
        row.open_min, row.close_min = day.open, day.close
        row.step_min, row.move_min, row.bay_turnover_min = day.step_min, day.move_min, day.bay_turnover_min
        row.aims = list(day.aims)
    session.add(row)
    session.flush()
    assert row.id is not None
    _write_what_is_there(session, clinic.id, row.id, day, document)
    return row


def _write_what_is_there(session: Session, clinic_id: int, day_id: int, day: Day, document: Document) -> None:
    connection = session.connection()
    connection.execute(delete(DueBreak).where(col(DueBreak.day_id) == day_id))
    connection.execute(delete(DayStaff).where(col(DayStaff.day_id) == day_id))
    connection.execute(delete(DayUnit).where(col(DayUnit.day_id) == day_id))
    connection.execute(delete(DayApplicator).where(col(DayApplicator.day_id) == day_id))
    connection.execute(delete(DayPlace).where(col(DayPlace.day_id) == day_id))
    written = write_clinic(session, clinic_id, day, document)
    session.add_all(DayPlace(day_id=day_id, place_version_id=id, position=i) for i, id in enumerate(written.places))
    session.add_all(
        DayApplicator(day_id=day_id, applicator_version_id=id, position=i) for i, id in enumerate(written.applicators)
    )
    session.add_all(
        DayUnit(
            day_id=day_id,
            unit_version_id=id,
            position=i,
            hours=None if unit.hours is None else _minutes(unit.hours),
        )
        for i, (id, unit) in enumerate(zip(written.units, day.units, strict=True))
    )
    members = list(zip(written.staff, day.staff, strict=True))
    session.add_all(
        DayStaff(day_id=day_id, staff_version_id=id, position=i, hours=_minutes(member.hours))
        for i, (id, member) in enumerate(members)
    )
    session.flush()
    session.add_all(
        DueBreak(
            day_id=day_id,
            staff_version_id=id,
            position=i,
            minutes=due.minutes,
            start_min=due.between.start,
            end_min=due.between.end,
        )
        for id, member in members
        for i, due in enumerate(member.breaks)
    )
    session.flush()


def write_told(session: Session, day_id: int, before: Sequence[Document], told: Sequence[Document]) -> None:
    """What patients were told, where it was ``before`` (nothing, for a new day). Rows that stay are left alone."""
    of_day, connection = col(ToldVisit.day_id) == day_id, session.connection()
    same = 0
    while same < min(len(before), len(told)) and json.dumps(before[same]) == json.dumps(told[same]):
        same += 1
    if same < len(before):
        connection.execute(delete(ToldVisit).where(of_day, col(ToldVisit.position) >= same))
    rows = [{"day_id": day_id, "position": i, "told": visit} for i, visit in enumerate(told) if i >= same]
    if rows:
        connection.execute(insert(ToldVisit), rows)


def _minutes(intervals: Sequence[Interval]) -> list[list[int]]:
    return [list(interval) for interval in intervals]
