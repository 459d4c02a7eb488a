"""A day that nobody has booked yet is made of what the clinic has set up; absences also across a change of clocks."""

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlmodel import col, select

from app.cli import run
from app.db.store import Store
from app.models import Absence, Closure, Opening, OutOfService, Staff, Unit, WeeklyBreak, WeeklyHours
from app.queries.clinics import the_clinic
from app.services.databases import open_database
from app.services.days import kept_day, new_day, save_day
from solver.clinic import Break
from solver.clock import Interval
from solver.jsonio import read_day
from tests.builders import a_day, a_therapist, a_unit, a_visit
from tests.data.conftest import NewData

TUESDAY = date(2031, 3, 11)
CLOCKS_CHANGE = date(2031, 3, 30)
"""A Sunday on which Dublin's clocks skip 01:00 to 02:00 (IANA time zone database, file europe)."""


def _set_up(store: Store) -> None:
    """Open 09:00–17:00 on Tuesdays and Sundays; T1 is there from 09:00 to 13:00 and from 14:00, with one break each."""
    save_day(store, a_day(a_visit(), units=(a_unit("U1"), a_unit("U2"))), None, read=0, actor="test")
    with store.writing() as session:
        clinic = the_clinic(session)
        (staff,) = session.exec(select(Staff.id))
        for weekday in (1, 6):
            session.add(Opening(clinic_id=clinic.id or 0, weekday=weekday, start_min=540, end_min=1020))
            for start, end in ((540, 780), (840, 1020)):
                session.add(WeeklyHours(staff_id=staff or 0, weekday=weekday, start_min=start, end_min=end))
            for position, start in enumerate((600, 900)):
                key = {"staff_id": staff or 0, "weekday": weekday, "position": position}
                session.add(WeeklyBreak(**key, minutes=15, start_min=start, end_min=start + 60))


def _absent(store: Store, starts_at: datetime, ends_at: datetime) -> None:
    with store.writing() as session:
        (staff,) = session.exec(select(Staff.id))
        session.add(Absence(staff_id=staff or 0, starts_at=starts_at, ends_at=ends_at))


def test_weekly_hours_make_a_day_and_nothing_is_kept(store: Store) -> None:
    _set_up(store)
    breaks = (Break(minutes=15, between=Interval(600, 660)), Break(minutes=15, between=Interval(900, 960)))
    wanted = a_day(
        open="09:00",
        close="17:00",
        step_min=5,
        units=(a_unit("U1"), a_unit("U2")),
        staff=(a_therapist(hours=("09:00-13:00", "14:00-17:00"), breaks=breaks),),
    )
    assert new_day(store, TUESDAY) == replace(wanted, date=TUESDAY)
    assert kept_day(store, TUESDAY) is None


def test_a_weekday_without_hours_and_a_closure_are_no_day(store: Store) -> None:
    _set_up(store)
    with store.writing() as session:
        session.add(Closure(clinic_id=the_clinic(session).id or 0, date=TUESDAY))
    assert new_day(store, TUESDAY) is None
    assert new_day(store, TUESDAY.replace(day=12)) is None
    assert new_day(store, TUESDAY.replace(day=18)) is not None


def test_a_unit_out_of_service_has_the_rest_of_the_day(store: Store) -> None:
    _set_up(store)
    with store.writing() as session:
        unit = session.exec(select(Unit.id).where(col(Unit.code) == "U2")).one()
        begins = datetime(2031, 3, 10, 20, tzinfo=UTC)
        session.add(OutOfService(unit_id=unit or 0, starts_at=begins, ends_at=datetime(2031, 3, 11, 11, tzinfo=UTC)))
    day = new_day(store, TUESDAY)
    assert day is not None
    assert [unit.hours for unit in day.units] == [None, (Interval(660, 1020),)]


@pytest.mark.parametrize(
    ("on", "begins", "ends", "hours", "breaks"),
    [
        (TUESDAY, "2031-03-11T09:30", "2031-03-11T10:50", [(540, 570), (650, 780), (840, 1020)], [900]),
        (TUESDAY, "2031-03-10T00:00", "2031-03-11T14:00", [(840, 1020)], [900]),
        (TUESDAY, "2031-03-11T00:00", "2031-03-12T00:00", [], []),
        (CLOCKS_CHANGE, "2031-03-30T00:00", "2031-03-30T09:00", [(600, 780), (840, 1020)], [600, 900]),
    ],
)
def test_an_absence_is_taken_from_the_hours_and_its_breaks_are_not_due(
    store: Store, on: date, begins: str, ends: str, hours: list[tuple[int, int]], breaks: list[int]
) -> None:
    """Times are in UTC: on the Sunday, 09:00 is 10:00 in Dublin."""
    _set_up(store)
    _absent(store, *(datetime.fromisoformat(f"{at}+00:00") for at in (begins, ends)))
    day = new_day(store, on)
    assert day is not None
    (member,) = day.staff
    assert [tuple(interval) for interval in member.hours] == hours
    assert [due.between.start for due in member.breaks] == breaks


def test_the_command_writes_such_a_day(file_data: NewData, tmp_path: Path) -> None:
    data, out = file_data(), tmp_path / "out.json"
    store = open_database(data)
    _set_up(store)
    assert run(["export-day", TUESDAY.isoformat(), "--out", str(out), "--data", data]) == 0
    assert read_day(out) == new_day(store, TUESDAY)
    store.close()
