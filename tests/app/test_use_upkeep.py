"""Upkeep over HTTP: minutes counted by hand, what is noted, who may, what a day's rooms say, the battery's press."""

import csv
import io
import re
from datetime import timedelta
from pathlib import Path

import pytest
from fastapi import FastAPI

from app.roles import Role
from app.services.setup.changing import effects_of, save_change
from app.services.setup.filled import filled_set_up
from app.services.setup.things import Retire
from app.services.upkeep.noting import UpkeepForm, note_upkeep
from app.services.use.counting import count_day
from app.services.use.upkeep import UpkeepFigures, upkeep_figures
from app.views.use.upkeep import battery_line
from tests.app.clinic_days import DATE, HERE, app_in, client_of, store_of
from tests.app.csv_given import csv_text
from tests.app.floor_shown import FLOOR, Shown, Watch, text_of
from tests.app.openings_clinic import Clinic
from tests.app.use_days import AFTER, record, the_day_after
from tests.data.set_up_clinic import MONDAY, TODAY

ADDRESS = "/use/upkeep"
ASKED = {"thing": "unit:U1", "kind": "safety test", "done": "2031-02-01", "due": "2031-03-01", "note": "Report 7"}
DAY = f"/day/{DATE}"


@pytest.fixture
def app(tmp_path: Path) -> FastAPI:
    return app_in(tmp_path, clock=the_day_after)[0]


@pytest.fixture
def shown(tmp_path: Path) -> Shown:
    watch = Watch()
    return Shown(app_in(tmp_path, clock=watch)[0], watch)


def _figures(app: FastAPI) -> UpkeepFigures:
    return upkeep_figures(store_of(app), app.state.parts.use, AFTER)


def _ran(app: FastAPI, code: str) -> tuple[int, int, int, int]:
    run = next(one.run for one in _figures(app).kept if one.thing.code == code)
    return run.recorded_min, run.recorded_days, run.planned_min, run.planned_days


def _note(app: FastAPI, **given: str) -> None:
    note_upkeep(store_of(app), UpkeepForm(**(ASKED | given)), actor="test", today=AFTER)


def test_minutes_of_a_day_without_a_record_are_those_of_its_plan(app: FastAPI) -> None:
    assert _ran(app, "U1") == (0, 0, 10 + 15, 1)
    assert _ran(app, "U2") == (0, 0, 10 + 10, 1)
    assert _ran(app, "head-1") == (0, 0, 10, 1)
    channels = {name: run.planned_min for name, run in _figures(app).kept[0].channels.items()}
    assert channels == {"u1": 10, "s1": 10 + 15}


def test_minutes_of_a_day_with_a_record_are_those_that_ran(app: FastAPI) -> None:
    record(store_of(app))  # Ann ran 10 minutes and a pause, Bea did not come
    count_day(store_of(app), DATE, AFTER)
    assert _ran(app, "U1") == (10, 1, 0, 0)
    assert _ran(app, "U2") == (20, 1, 0, 0)
    assert _ran(app, "head-1") == (10, 1, 0, 0)


def test_they_count_after_the_day_of_the_last_service(app: FastAPI) -> None:
    _note(app, kind="service", done=(DATE - timedelta(days=1)).isoformat(), due="")
    assert _ran(app, "U1")[2] == 25
    _note(app, kind="service", done=DATE.isoformat(), due="")
    assert _ran(app, "U1") == (0, 0, 0, 0)
    assert _ran(app, "U2")[2] == 20
    text = text_of(client_of(app, "manager").get(ADDRESS, headers=HERE).text)
    assert "0 min no day is kept, after 4 March 2031" in text


def test_it_is_noted_shown_given_as_csv_and_taken_back(app: FastAPI) -> None:
    client = client_of(app, "manager", follow_redirects=False)
    answer = client.post(ADDRESS, data=ASKED, headers=HERE)
    assert (answer.status_code, answer.headers["location"]) == (303, f"{ADDRESS}#record")
    text = text_of(client.get(ADDRESS, headers=HERE).text)
    assert "Rowan: safety test overdue, it was to be done by 1 March 2031" in text
    assert "1 February 2031, manager again by 1 March 2031 ▲ overdue" in text
    assert "Report 7" in text
    assert "Report 7" not in client.get("/audit", headers=HERE).text
    header, first, _ = csv.reader(io.StringIO(csv_text(client.get(f"{ADDRESS}/csv/units", headers=HERE))))
    row = dict(zip(header, first, strict=True))
    assert (row["unit"], row["last safety test"], row["safety test by whom"]) == ("Rowan", "2031-02-01", "manager")
    assert (row["run min by plans"], row["days of plans"], row["last service"]) == ("25", "1", "")
    assert client.post(f"{ADDRESS}/1/back", headers=HERE).status_code == 303
    assert "Nothing that is noted is due" in text_of(client.get(ADDRESS, headers=HERE).text)
    again = client.post(f"{ADDRESS}/1/back", headers=HERE)
    assert (again.status_code, "not in the record any more" in again.text) == (422, True)


def test_a_unit_that_is_gone_is_named_in_the_record_and_nowhere_due(app: FastAPI) -> None:
    _note(app, thing="unit:U2")
    store = store_of(app)
    (unit,) = (one for one in filled_set_up(store).units if one.form.code == "U2")
    retire = Retire(kind="unit", code="U2", read=unit.version)
    save_change(store, retire, actor="test", shown=effects_of(store, retire).digest)
    text = text_of(client_of(app, "manager").get(ADDRESS, headers=HERE).text)
    assert "Sorrel: safety test" in text
    assert "Sorrel: safety test overdue" not in text
    assert client_of(app, "manager").post(ADDRESS, data=ASKED | {"thing": "unit:U2"}, headers=HERE).status_code == 422


@pytest.mark.parametrize("table", ["units", "channels", "items", "batteries"])
def test_each_table_is_given_with_a_cell_for_each_column(app: FastAPI, table: str) -> None:
    header, *rows = csv.reader(
        io.StringIO(csv_text(client_of(app, "manager").get(f"{ADDRESS}/csv/{table}", headers=HERE)))
    )
    assert rows
    assert {len(row) for row in rows} == {len(header)}
    assert client_of(app, "manager").get(f"{ADDRESS}/csv/none", headers=HERE).status_code == 404


def test_what_is_wrong_is_said_and_the_form_stays(app: FastAPI) -> None:
    sent = ASKED | {"done": "2031-03-06", "due": "never"}
    answer = client_of(app, "manager").post(ADDRESS, data=sent, headers=HERE)
    assert answer.status_code == 422
    assert "2031-03-06 is to come" in answer.text
    assert "that is no date" in answer.text
    assert 'value="Report 7"' in answer.text
    assert re.search(r'<option value="unit:U1" selected>', answer.text)


@pytest.mark.parametrize(
    ("role", "status"), [("desk", 403), ("therapist", 403), ("manager", 200), ("administrator", 200)]
)
def test_it_is_for_managers_and_administrators(app: FastAPI, role: Role, status: int) -> None:
    client = client_of(app, role)
    assert client.get(ADDRESS, headers=HERE).status_code == status
    assert client.post(ADDRESS, data=ASKED, headers=HERE).status_code == status
    assert client.post(f"{ADDRESS}/1/back", headers=HERE).status_code == status


def test_the_day_and_the_floor_say_what_is_due_on_them(app: FastAPI) -> None:
    _note(app, due=DATE.isoformat())
    _note(app, thing="item:head-1", kind="calibration")
    for address in (DAY, f"{DAY}?as=table", FLOOR):
        text = text_of(client_of(app, "therapist").get(address, headers=HERE).text)
        assert "△ Rowan: safety test due on this day" in text, address
        assert "▲ heads, head-1: calibration overdue, it was to be done by 1 March 2031" in text, address
    _note(app, thing="unit:U2")
    for address in (DAY, FLOOR):
        text = text_of(client_of(app, "desk").get(address, headers=HERE).text)
        assert "▲ Sorrel: safety test overdue, it was to be done by 1 March 2031" in text, address


def test_openings_says_it_quietly_of_the_unit_that_is_chosen_and_books_all_the_same(clinic: Clinic) -> None:
    client, chosen = client_of(clinic.app), clinic.ask(f"&date={MONDAY}&at=10:00")
    assert "upkeep-due" not in client.get(chosen).text
    for unit, due in (("U1", MONDAY - timedelta(days=1)), ("U2", MONDAY)):
        given = ASKED | {"thing": f"unit:{unit}", "due": due.isoformat()}
        note_upkeep(clinic.desk.store, UpkeepForm(**given), actor="test", today=TODAY)
    html = client.get(chosen).text
    units = re.findall(r"U[12]", text_of(html.split('class="chosen"')[1]))
    assert ('class="upkeep-due quiet"' in html) == (units[0] == "U1")
    assert 'id="book"' in html


def test_a_battery_is_said_to_be_empty_once_and_it_is_taken_back(shown: Shown) -> None:
    shown.begin("V1", "09:00")
    assert shown.press("battery_empty", at="09:05", unit="U1").status_code == 303
    text = text_of(shown.get())
    assert "said to be empty at 09:05" in text
    assert "09:05 Rowan: battery empty therapist" in text
    on_mains = shown.press("battery_empty", at="09:06", unit="U2")
    assert (on_mains.status_code, "Sorrel runs on mains" in on_mains.text) == (422, True)
    event = max(one.id for one in shown.app.state.parts.floor.read(DATE).events)
    assert shown.press("undone", at="09:07", undoes=event).status_code == 303
    assert "said to be empty" not in text_of(shown.get())


def test_what_was_said_of_a_battery_is_counted_the_day_after_and_again_when_it_is_taken_back(shown: Shown) -> None:
    store, room = store_of(shown.app), shown.app.state.parts.use
    shown.begin("V1", "09:00")
    shown.press("battery_empty", at="09:08", unit="U1")
    count_day(store, DATE, AFTER)
    (seen,) = upkeep_figures(store, room, AFTER).batteries
    assert (seen.unit, seen.observed["empty"], seen.observed["not_full"]) == ("U1", 0, 1)  # it began at a half
    event = max(one.id for one in shown.app.state.parts.floor.read(DATE).events)
    shown.press("undone", at="09:09", undoes=event)
    count_day(store, DATE, AFTER)
    (seen,) = upkeep_figures(store, room, AFTER).batteries
    assert seen.observed["not_full"] == 0


def test_observed_minutes_and_those_of_the_figure_are_of_the_same_running() -> None:
    seen = {"empty": 2, "empty_run_min": 80, "empty_drawn_wmin": 1200, "not_full": 1, "charged": 3}
    line = battery_line("U1", "Rowan", {**seen, "charged_run_min": 90, "peak_charged_run_min": 50}, 30, 20)
    # 30 Wh are 1,800 watt-minutes; the runs drew 600 each in 40 minutes, so all of it would last three times as long
    assert battery_line("U 1&x=#2", "Rowan", {}, 30, 20).set_up == "/set-up/unit/form?code=U%201%26x%3D%232"
    assert line.cells == ("Rowan", "30", "20", "2", "40", "120", "96", "3", "50")
    text = " ".join(line.lines)
    assert "ran 40 minutes from full until it was said to be empty, in the mean of 2 observations" in text
    assert "would last 120 minutes, 96 of them above the reserve" in text
    assert "1 time, left aside" in text


def test_observed_battery_life_stands_beside_the_figure_with_a_way_to_correct_it(app: FastAPI) -> None:
    view = client_of(app, "manager").get(ADDRESS, headers=HERE)
    assert "nobody said that it was empty after a full charge" in text_of(view.text)
    assert 'href="/set-up/unit/form?code=U1"' in view.text
    assert 'href="/set-up/unit/form?code=U2"' not in view.text
