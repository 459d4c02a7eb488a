"""A day file brought in and written out again is the same file, and so is its plan, on both databases."""

import json
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.cli import run
from app.db.store import Store
from app.services.databases import open_database
from app.services.days import kept_day, save_day
from demo_data.make_day import DAY_FILE
from solver.construct import construct
from solver.jsonio import day_document, parse_plan, plan_document, read_day, write_json
from solver.problem import Day
from solver.schedule import Plan
from tests.bench.days import bench_day
from tests.builders import (
    a_day,
    a_part,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    hands_on,
    left_out,
    placed,
    unattended,
)
from tests.data.conftest import NewData
from tests.solver.small_days import FEATURES, small_days


def _text(document: object) -> str:
    """Everything about a document, the order of its keys too."""
    return json.dumps(document, indent=1)


def _first_plan(day: Day) -> Plan | None:
    """A right plan, quickly made, as read from its file; None where what is fixed cannot all stand in it."""
    ledger = construct(day)
    if ledger is None:
        return None
    visits = tuple(ledger.visits.values())
    left = [left_out(visit.id) for visit in day.visits if visit.id not in ledger.visits]
    plan = a_plan(day, *visits, breaks=tuple(ledger.breaks.values()), left=left)
    return parse_plan(json.dumps(plan_document(plan)).encode())


def _in_and_out(store: Store, day: Day, plan: Plan | None) -> None:
    kept = kept_day(store, day.date)
    save_day(store, day, plan, read=0 if kept is None else kept.version, actor="test")
    kept = kept_day(store, day.date)
    assert kept is not None
    assert _text(day_document(kept.day)) == _text(day_document(day))
    if plan is not None:
        assert kept.plan is not None
        assert _text(plan_document(kept.plan)) == _text(plan_document(plan))


def test_the_demo_day(new_data: NewData, tmp_path: Path) -> None:
    """By the commands, to the byte."""
    data, day = new_data(), read_day(DAY_FILE)
    plan = _first_plan(day)
    assert plan is not None
    write_json(tmp_path / "plan.json", plan_document(plan))
    write_json(tmp_path / "day.json", day_document(day))
    files = ["--plan", str(tmp_path / "plan.json"), "--data", data]
    assert run(["import-day", str(DAY_FILE), *files]) == 0
    out, plan_out = tmp_path / "day-out.json", tmp_path / "plan-out.json"
    given = ["--out", str(out), "--plan-out", str(plan_out), "--data", data]
    assert run(["export-day", day.date.isoformat(), *given]) == 0
    assert out.read_bytes() == (tmp_path / "day.json").read_bytes()
    assert plan_out.read_bytes() == (tmp_path / "plan.json").read_bytes()


@pytest.mark.parametrize(("size", "crowded"), [("S", False), ("S", True), ("M", False)])
def test_a_day_of_the_bench(store: Store, size: str, crowded: bool) -> None:
    day = bench_day(size, 0, crowded)
    plan = _first_plan(day)
    assert plan is not None
    _in_and_out(store, day, plan)


@pytest.fixture(scope="module")
def used_store(made_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """One file for many days: each takes the place of the one before it, under the same date and the same names."""
    path = tmp_path_factory.mktemp("used") / "clinic.db"
    path.write_bytes(made_file.read_bytes())
    opened = open_database(str(path))
    yield opened
    opened.close()


@pytest.mark.parametrize("feature", FEATURES)
@settings(max_examples=3, derandomize=True, database=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_small_days_of_every_kind(used_store: Store, feature: str, data: st.DataObject) -> None:
    day = data.draw(small_days(feature))
    plan = _first_plan(day)
    # Without a plan of its own a day keeps the plan that is there, which is of another day here: so another date.
    date = day.date if plan is not None else day.date.replace(year=2032, month=1 + data.draw(st.integers(0, 11)))
    if plan is None and kept_day(used_store, date) is not None:
        return
    _in_and_out(used_store, replace(day, date=date), plan)


def test_text_of_any_script_and_mappings_in_any_order(store: Store) -> None:
    part = a_part(
        hands_on(5),
        unattended(10),
        id="élan ✓",
        channels={"ultrasound": 1, "pads": 1},
        applicators={"zz": 1, "aa": 1},
    )
    visit = a_visit(part, id="V'1\"; --", patient="Zoë Ōta")
    pools = (an_applicator("zz"), an_applicator("aa", fits=["U1"]))
    day = a_day(visit, applicators=pools, staff=(a_therapist(skills=("b", "a")),))
    _in_and_out(store, day, a_plan(day, placed(visit, "09:00")))


def test_a_changed_unit_leaves_the_days_before_as_they_were(store: Store) -> None:
    visit = a_visit(a_part(hands_on(5)))
    monday = a_day(visit)
    tuesday = replace(monday, date=monday.date.replace(day=5), units=(a_unit(patients_at_once=1, name="Larch"),))
    _in_and_out(store, monday, a_plan(monday, placed(visit, "09:00")))
    _in_and_out(store, tuesday, None)
    kept = kept_day(store, monday.date)
    assert kept is not None
    assert (kept.day, kept.version) == (monday, 1)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["export-day", "tomorrow", "--out", "x.json"], "DATE: 'tomorrow' is no date; give one such as 2031-03-04\n"),
        (
            ["export-day", "2030-01-01", "--out", "x.json"],
            "DATE: there is no day 2030-01-01 in the database; "
            "give a date that was brought in, or on which the clinic is open\n",
        ),
        (["export-day", "2030-01-01", "--out", "x.json", "--data", "no.db"], None),
        (["import-day", "day.json", "--data", "no.db"], None),
        (["import-day", "no.json"], None),
    ],
)
def test_what_is_not_there_is_said_in_one_line(
    arguments: list[str],
    said: str | None,
    file_data: NewData,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    Path(file_data()).rename(tmp_path / "clinic.db")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CHANNELDAY_DATA", "clinic.db")
    write_json(tmp_path / "day.json", day_document(a_day(a_visit())))
    assert run(arguments) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1
    assert said is None or err == said
    assert sorted(path.name for path in tmp_path.iterdir()) == ["clinic.db", "day.json"]


def test_a_day_that_breaks_the_kept_plan_says_so_and_changes_nothing(
    file_data: NewData, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data, visit = file_data(), a_visit(a_part(hands_on(5)))
    day = a_day(visit)
    store = open_database(data)
    save_day(store, day, a_plan(day, placed(visit, "09:00")), read=0, actor="test")
    write_json(tmp_path / "day.json", day_document(replace(day, open=9 * 60 + 30)))
    assert run(["import-day", str(tmp_path / "day.json"), "--data", data]) == 2
    err = capsys.readouterr().err
    assert err.startswith("plan: hours: V1")
    kept = kept_day(store, day.date)
    store.close()
    assert kept is not None
    assert (kept.day, kept.version) == (day, 1)


def test_what_was_proved_of_the_old_day_is_not_said_of_the_new(new_data: NewData, tmp_path: Path) -> None:
    data, file, day = new_data(), tmp_path / "day.json", a_day(a_visit(a_part(hands_on(10)), id="V1", wish="10:00"))
    plan = a_plan(day, placed(day.visits[0], "10:10"))
    proved = replace(plan, status="optimal", bounds=plan.scores)
    with closing(open_database(data)) as store:
        save_day(store, day, proved, read=0, actor="test")

    def brought_in(day: Day) -> Plan | None:
        write_json(file, day_document(day))
        assert run(["import-day", str(file), "--data", data]) == 0
        with closing(open_database(data)) as store:
            kept = kept_day(store, day.date)
        assert kept is not None
        return kept.plan

    assert brought_in(day) == proved
    assert brought_in(replace(day, close=day.close + 60)) == plan
