"""Actual beside planned: counted of days before today, again when more is recorded, shown and given as CSV."""

import csv
from datetime import timedelta
from pathlib import Path

import pytest
from fastapi import FastAPI

from app.services.use.counting import count_day
from app.services.use.room import Range, read_range
from solver.report.sums import day_sums
from tests.app.clinic_days import DATE, a_clinic_day, a_clinic_plan, app_in, client_of, store_of
from tests.app.use_days import AFTER, add_event, record, the_day_after

QUERY = f"from={DATE}&to={DATE}"


@pytest.fixture
def app(tmp_path: Path) -> FastAPI:
    return app_in(tmp_path, clock=the_day_after)[0]


def _counted(app: FastAPI) -> Range:
    count_day(store_of(app), DATE, AFTER)
    return _read(app)


def _read(app: FastAPI) -> Range:
    return read_range(store_of(app), DATE, DATE, AFTER)


def test_a_day_is_counted_with_what_happened(app: FastAPI) -> None:
    record(store_of(app))
    assert (_read(app).uncounted, _read(app).recorded) == (1, 0)
    found = _counted(app)
    assert (found.uncounted, found.recorded) == (0, 1)
    assert found.planned == found.whole == day_sums(a_clinic_day(), a_clinic_plan(a_clinic_day()))
    planned, actual = found.planned["channels"], found.actual["channels"]
    assert actual["U1 u1"]["used_min"] == planned["U1 u1"]["used_min"]
    assert actual["U1 u1"]["held_min"] == planned["U1 u1"]["held_min"] + 4
    assert actual["U1 s1"]["held_min"] == planned["U1 s1"]["held_min"] + 4 - 20
    assert actual["U2 u1"] == planned["U2 u1"]
    assert actual["U2 s1"] == planned["U2 s1"]
    kept = found.actual["record"]["all"]
    assert {name: kept[name] for name in ("visits", "begun", "late", "late_min", "missed", "unended")} == {
        "visits": 3,
        "begun": 2,
        "late": 1,
        "late_min": 7,
        "missed": 1,
        "unended": 1,
    }
    assert (kept["overrun"], kept["overrun_min"], kept["parts"]) == (1, 4, 3)


def test_what_is_recorded_later_is_counted_again(app: FastAPI) -> None:
    record(store_of(app))
    before = _counted(app)
    add_event(store_of(app), "10:07", "ended", "V3", 1, {"reason": ""})
    assert (_read(app).uncounted, _read(app).actual, _read(app).whole) == (1, {}, before.whole)
    after = _counted(app)
    assert after.actual["channels"]["U2 s1"]["held_min"] == before.actual["channels"]["U2 s1"]["held_min"] + 2
    assert after.actual["record"]["all"]["unended"] == 0


def test_of_today_nothing_is_counted_yet(app: FastAPI) -> None:
    record(store_of(app))
    count_day(store_of(app), DATE, DATE)
    found = read_range(store_of(app), DATE, DATE, DATE)
    assert (found.uncounted, found.recorded, found.actual) == (0, 0, {})


def test_what_was_taken_back_is_no_record(app: FastAPI) -> None:
    event = add_event(store_of(app), "09:07", "started", "V1", 0, {})
    add_event(store_of(app), "09:08", "undone", "V1", 0, {}, undoes=event)
    found = _counted(app)
    assert (found.uncounted, found.recorded) == (0, 0)


def test_the_page_and_the_csv_say_both(app: FastAPI) -> None:
    record(store_of(app))
    count_day(store_of(app), DATE, AFTER)
    client = client_of(app, "manager")
    page = client.get(f"/use?{QUERY}").text
    assert "1 of them has a record of what happened" in page
    rows = {row[0]: row for row in csv.reader(client.get(f"/use/csv/actual?{QUERY}").text.splitlines())}
    assert rows["figure"] == ["figure", "planned", "actual", "meaning"]
    assert rows["Late"][2] == "1 of 2"
    assert rows["Missed"][2] == "1 of 3"
    assert rows["Overrun"][2] == "4 min"
    assert rows["Visits"][1:3] == ["3", "2"]
    for name, (_, planned, actual, meaning) in rows.items():
        assert f'<th scope="row">{name}</th>' in page or name == "figure"
        assert all(text in page for text in (planned, actual, meaning)) or name == "figure"
    each = client.get(f"/use/csv/actual-each?{QUERY}").text
    assert '"Rowan, u1",channel,' in each
    assert "Ann Early" not in page + each


def test_without_a_record_nothing_stands_beside_the_plans(app: FastAPI) -> None:
    page = client_of(app, "manager").get(f"/use?{QUERY}").text
    assert "no day of this range before today has a record" in page
    assert "Planned and actual" not in page
    later = DATE + timedelta(days=7)
    assert "No day of this range has a plan." in client_of(app, "manager").get(f"/use?from={later}&to={later}").text
