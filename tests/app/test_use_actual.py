"""Actual beside planned: counted of days before today, again when more is recorded, shown and given as CSV."""

import csv
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from app.models import DayFigures
from app.queries.catalogue import version_row
from app.queries.visits import BookedWith
from app.services.days import save_day
from app.services.treatments.writing import make_treatment
from app.services.use.counting import count_day
from app.services.use.room import Range, read_range
from solver.reading.documents import part_document
from solver.report.sums import day_sums
from tests.app.clinic_days import DATE, a_clinic_day, a_clinic_plan, app_in, client_of, store_of
from tests.app.csv_given import csv_text
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
    assert (_read(app).uncounted, _read(app).recorded) == (1, {})
    found = _counted(app)
    assert (found.uncounted, list(found.recorded)) == (0, [DATE])
    assert found.recorded[DATE] == found.recorded_whole == found.recorded_weekdays[DATE.weekday()]
    assert found.recorded_whole.planned == found.whole == day_sums(a_clinic_day(), a_clinic_plan(a_clinic_day()))
    planned, actual = found.recorded_whole.planned["channels"], found.recorded_whole.actual["channels"]
    assert actual["U1 u1"]["used_min"] == planned["U1 u1"]["used_min"]
    assert actual["U1 u1"]["held_min"] == planned["U1 u1"]["held_min"] + 4
    assert actual["U1 s1"]["held_min"] == planned["U1 s1"]["held_min"] + 4 - 20
    assert actual["U2 u1"] == planned["U2 u1"]
    assert actual["U2 s1"] == planned["U2 s1"]
    kept = found.recorded_whole.actual["record"]["all"]
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
    assert (_read(app).uncounted, _read(app).recorded, _read(app).whole) == (1, {}, before.whole)
    after = _counted(app)
    assert (
        after.recorded_whole.actual["channels"]["U2 s1"]["held_min"]
        == before.recorded_whole.actual["channels"]["U2 s1"]["held_min"] + 2
    )
    assert after.recorded_whole.actual["record"]["all"]["unended"] == 0


def test_of_today_nothing_is_counted_yet(app: FastAPI) -> None:
    record(store_of(app))
    count_day(store_of(app), DATE, DATE)
    found = read_range(store_of(app), DATE, DATE, DATE)
    assert (found.uncounted, found.recorded) == (0, {})


def test_what_was_taken_back_is_no_record(app: FastAPI) -> None:
    event = add_event(store_of(app), "09:07", "started", "V1", 0, {})
    add_event(store_of(app), "09:08", "undone", "V1", 0, {}, undoes=event)
    found = _counted(app)
    assert (found.uncounted, found.recorded) == (0, {})


def test_figures_that_were_kept_before_there_were_treatments_are_counted_again_once(app: FastAPI) -> None:
    record(store_of(app))
    before = _counted(app)
    with store_of(app).writing() as session:
        (row,) = session.exec(select(DayFigures)).all()
        row.sums = {name: table for name, table in row.sums.items() if "treatments" not in name}
    assert (_read(app).uncounted, _read(app).whole, _read(app).recorded) == (1, {}, {})
    assert _counted(app) == before


def test_treatments_say_what_became_of_their_visits(app: FastAPI) -> None:
    store, (early, later) = store_of(app), ("Ultrasound and pads", "Pads")
    forms = {
        name: {"name": name, "same_unit": True, "parts": [part_document(visit.parts[0])]}
        for name, visit in zip((early, later), a_clinic_day().visits, strict=False)
    }
    booked = {}
    for code, name in zip(("V1", "V2"), forms, strict=True):
        made = make_treatment(store, forms[name], actor="test")
        with store.reading() as session:
            booked[code] = BookedWith(version_row(session, made, 1).id or 0)
    day = a_clinic_day()
    fresh = replace(day, visits=tuple(replace(visit, id=f"{visit.id}x") for visit in day.visits))
    plan = a_clinic_plan(day)
    as_fresh = replace(
        plan,
        visits=tuple(replace(visit, id=f"{visit.id}x") for visit in plan.visits),
        left_out=tuple(replace(visit, id=f"{visit.id}x") for visit in plan.left_out),
    )
    save_day(store, fresh, as_fresh, read=1, actor="test")
    save_day(store, day, plan, read=2, actor="test", booked=booked)
    record(store)
    count_day(store, DATE, AFTER)
    client = client_of(app, "manager")
    rows = _csv(client, "actual-treatments")
    counts = ("visits planned", "begun", "missed", "left out", "late", "overrun min")
    assert [rows[early][one] for one in counts] == ["1", "1", "0", "0", "1", "4"]
    assert [rows[later][one] for one in counts] == ["1", "0", "1", "0", "0", "0"]
    assert [rows["Booked without one of the catalogue"][one] for one in counts] == ["1", "1", "0", "1", "0", "0"]
    assert (rows[later]["planned held min"], rows[later]["actual held min"]) == ("20", "0")
    assert _csv(client, "treatments")[early]["held min"] == rows[early]["planned held min"] == "40"
    assert f'class="strong">{early}</text>' in client.get(f"/use?{QUERY}").text


def test_days_and_hours_stand_beside_each_other(app: FastAPI) -> None:
    record(store_of(app))
    found = _counted(app)
    client = client_of(app, "manager")
    day = _csv(client, "actual-days")[str(DATE)]
    planned, actual = found.recorded[DATE]
    assert day["planned running min"] == str(planned["clinic"]["all"]["used_min"])
    assert day["actual running min"] == str(actual["clinic"]["all"]["used_min"])
    assert (day["planned end"], day["actual end"]) == ("10:20", "10:05")
    assert (day["begun"], day["missed"], day["late"]) == ("2", "1", "1")
    monday = DATE - timedelta(days=DATE.weekday())
    assert _csv(client, "actual-weeks")[str(monday)]["latest actual end"] == "10:05"
    weekday = _csv(client, "actual-weekdays")["Tuesday"]
    assert weekday["actual held min"] == day["actual held min"]
    lines = csv.DictReader(csv_text(client.get(f"/use/csv/actual-heat?{QUERY}")).splitlines())
    hours = {row["hour"]: int(row["actual held min"]) for row in lines}
    assert sum(hours.values()) == int(day["actual held min"])
    page = client.get(f"/use?{QUERY}").text
    for name in ("Tue planned", "Tue actual", "Hours that channels ran", "End of the last visit"):
        assert name in page


def test_the_page_and_the_csv_say_both(app: FastAPI) -> None:
    record(store_of(app))
    count_day(store_of(app), DATE, AFTER)
    client = client_of(app, "manager")
    page = client.get(f"/use?{QUERY}").text
    assert "1 of them has a record of what happened" in page
    rows = {row[0]: row for row in csv.reader(csv_text(client.get(f"/use/csv/actual?{QUERY}")).splitlines())}
    assert rows["figure"] == ["figure", "planned", "actual", "meaning"]
    assert rows["Late"][2] == "1 of 2"
    assert rows["Missed"][2] == "1 of 3"
    assert rows["Overrun"][2] == "4 min"
    assert rows["Visits"][1:3] == ["3", "2"]
    for name, (_, planned, actual, meaning) in rows.items():
        assert f'<th scope="row">{name}</th>' in page or name == "figure"
        assert all(text in page for text in (planned, actual, meaning)) or name == "figure"
    each = csv_text(client.get(f"/use/csv/actual-each?{QUERY}"))
    assert '"Rowan, u1",channel,' in each
    assert "Ann Early" not in page + each


def test_without_a_record_nothing_stands_beside_the_plans(app: FastAPI) -> None:
    page = client_of(app, "manager").get(f"/use?{QUERY}").text
    assert "no day of this range before today has a record" in page
    assert "Planned and actual" not in page
    later = DATE + timedelta(days=7)
    assert "No day of this range has a plan." in client_of(app, "manager").get(f"/use?from={later}&to={later}").text


def _csv(client: TestClient, table: str) -> dict[str, dict[str, str]]:
    lines = list(csv.DictReader(csv_text(client.get(f"/use/csv/{table}?{QUERY}")).splitlines()))
    return {next(iter(row.values())): row for row in lines}
