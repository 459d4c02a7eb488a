"""``check``: faults made by hand are found, each under its own name, on both databases where both can have them."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import text

from app.cli import run
from app.db.migrating import newest
from app.services.checking import Checked, check_database
from app.services.databases import open_database
from app.services.days import save_day
from tests.builders import A_DATE, a_day, a_part, a_plan, a_visit, hands_on, placed
from tests.data.conftest import CopyOf, NewData


def _now() -> datetime:
    return datetime(2031, 3, 4, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def planned(made_data: str, kept_copy_of: CopyOf) -> str:
    """Three days with a plan: yesterday, today, tomorrow; and one without. To be copied and not touched."""
    data = kept_copy_of(made_data)
    store = open_database(data)
    day = a_day(a_visit(a_part(hands_on(10)), id="V1"), a_visit(a_part(hands_on(10)), id="V2"))
    plan = a_plan(day, placed(day.visits[0], "09:00"), placed(day.visits[1], "09:30"))
    for number in (3, 4, 5):
        date = A_DATE.replace(day=number)
        save_day(store, replace(day, date=date), replace(plan, date=date), read=0, actor="test")
    save_day(store, replace(day, date=A_DATE.replace(day=6)), None, read=0, actor="test")
    store.close()
    return data


@pytest.fixture
def data(planned: str, copy_of: CopyOf) -> str:
    return copy_of(planned)


def _by_hand(data: str, *statements: str) -> None:
    store = open_database(data)
    with store.writing() as session:
        for statement in statements:
            session.connection().execute(text(statement))
    store.close()


OF_DAY = "(SELECT id FROM clinic_day WHERE date = '2031-03-{day:02}')"


def test_all_is_well(data: str) -> None:
    assert check_database(data, _now) == Checked([], A_DATE, days=3, plans=2)


def test_today_is_the_clinics(data: str) -> None:
    """At 23:30 UTC in June it is the next day in Dublin (IANA time zone database, file europe)."""
    assert check_database(data, lambda: datetime(2031, 6, 3, 23, 30, tzinfo=UTC)).since == A_DATE.replace(month=6)


@pytest.mark.parametrize(
    ("statement", "fault"),
    [
        ("UPDATE clinic_day SET open_min = 560 WHERE id = {day}", "day 2031-03-05: hours: V1"),
        ("DELETE FROM held_hands WHERE day_id = {day} AND start_min = 540", "day 2031-03-05: hands: V1"),
        ("DELETE FROM held_channel WHERE day_id = {day}", "day 2031-03-05: "),
        ("UPDATE saved_plan SET scores = '{{}}' WHERE day_id = {day}", "day 2031-03-05: "),
        ("UPDATE clinic_day SET aims = '[\"no such aim\"]' WHERE id = {day}", "day 2031-03-05: aims"),
    ],
)
def test_a_plan_that_was_damaged_by_hand_is_found(statement: str, fault: str, data: str) -> None:
    _by_hand(data, statement.format(day=OF_DAY.format(day=5)))
    faults = check_database(data, _now).faults
    assert faults
    assert all(line.startswith("day 2031-03-05: ") for line in faults)
    assert any(line.startswith(fault) for line in faults), faults


def test_days_that_are_over_are_left_alone(data: str) -> None:
    _by_hand(data, f"DELETE FROM held_hands WHERE day_id = {OF_DAY.format(day=3)}")
    assert check_database(data, _now).faults == []


def test_rows_that_fit_nothing_are_a_fault_of_their_day(data: str) -> None:
    _by_hand(data, f"UPDATE held_hands SET phase = 7 WHERE day_id = {OF_DAY.format(day=4)}")
    assert check_database(data, _now).faults == ["day 2031-03-04: its rows do not fit together"]


@pytest.mark.parametrize("made_data", ["postgresql"], indirect=True)
def test_a_server_says_which_guard_is_off(data: str) -> None:
    _by_hand(data, "ALTER TABLE audit DISABLE TRIGGER append_only_audit")
    assert check_database(data, _now).faults == ["guard: append_only_audit of audit is switched off"]


def _in_file(data: str, *statements: str) -> None:
    with closing(sqlite3.connect(data)) as file:
        for statement in statements:
            file.execute(statement)
        file.commit()


@pytest.mark.parametrize(
    ("statements", "fault"),
    [
        (["DELETE FROM clinic"], "references: audit 1 names a row of clinic that is not there"),
        (["UPDATE alembic_version SET version_num = '0003'"], f"migrations: it is at 0003 and not at {newest()}; "),
        (
            ["PRAGMA writable_schema = ON", "UPDATE sqlite_master SET rootpage = 3 WHERE name = 'ix_audit_day'"],
            "integrity: ",
        ),
    ],
)
def test_the_file_itself(
    statements: list[str], fault: str, file_data: NewData, capsys: pytest.CaptureFixture[str]
) -> None:
    data = file_data()
    assert run(["check", "--data", data]) == 0
    said = capsys.readouterr().out
    assert said.startswith("All is well: ")
    assert said.count("\n") == 1
    _in_file(data, *statements)
    assert run(["check", "--data", data]) == 1
    assert any(line.startswith(fault) for line in capsys.readouterr().out.splitlines())


@pytest.mark.parametrize("content", [None, b"{}", b""])
def test_what_is_no_database_is_said_in_one_line(
    content: bytes | None, file_data: NewData, capsys: pytest.CaptureFixture[str]
) -> None:
    other = Path(f"{file_data()}-other")
    if content is not None:
        other.write_bytes(content)
    assert run(["check", "--data", str(other)]) == 2
    assert capsys.readouterr().err.count("\n") == 1
