"""The page on what holds us back: asked for, followed, cancelled, taken as CSV, and what is refused."""

import csv
import io
import time
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import cast

import pytest
from fastapi import FastAPI

from app.roles import Role
from app.routes.parts import Parts
from app.services.days import kept_day, save_day
from app.services.use.held_days import Found, HeldDay
from app.services.use.holding_back import HoldingBackRoom, Looked
from app.services.use.one_job import Progress
from app.views.use.holding_back import lines
from solver.holding_back import HoldingBack, Row, added_up, holding_back
from solver.problem import Day
from tests.app.clinic_days import DATE, HERE, a_clinic_day, a_clinic_plan, app_in, client_of, store_of
from tests.app.csv_given import csv_text
from tests.app.one_job import ended, only_telling

ADDRESS = "/use/holding-back"
ASKED = {"first": "2031-03-01", "last": "2031-03-31"}
ROWS = (
    Row(rule="channels", resource="U1 s1", minutes=40, visits=2),
    Row(rule="patient", resource="", minutes=10, visits=1),
)
HELD = HoldingBack(rows=ROWS, left_out_min=30, moved_min=20, open_min=5, idle_min=60, service_min=80)
FOUND: Found = (HeldDay(DATE, 2, HELD, {("channels", "U1 s1"): "=Rowan, s1"}),)


looked_and_deaf = partial(only_telling, Progress(1, FOUND))
"""Looks at one day, and then never ends nor listens."""


@pytest.fixture
def app(tmp_path: Path) -> FastAPI:
    return app_in(tmp_path, clock=lambda: datetime(2031, 3, 5, 9, 0))[0]


def room_of(app: FastAPI) -> HoldingBackRoom:
    return cast("Parts", app.state.parts).holding_back


def test_two_days_are_looked_at_and_left_alone(app: FastAPI) -> None:
    store = store_of(app)
    for days in (1, 2):  # the second has no plan and is not looked at
        other = a_clinic_day_on(DATE + timedelta(days=days))
        save_day(store, other, a_clinic_plan(other) if days == 1 else None, read=0, actor="test")
    before = kept_day(store, DATE)
    client = client_of(app, "manager", follow_redirects=False)
    assert 'value="2031-03-03"' in client.get(ADDRESS, headers=HERE).text
    assert client.post(ADDRESS, data=ASKED, headers=HERE).status_code == 303
    current = ended(room_of(app))
    assert current.message == "Finished."
    assert (current.done, current.of) == (2, 2)
    wanted = holding_back(a_clinic_day(), a_clinic_plan(a_clinic_day()))
    assert wanted.open_min + wanted.total_min > 0
    assert [each.held for each in current.found] == [wanted, wanted]
    text = client.get(ADDRESS, headers=HERE).text
    assert 'href="/day/2031-03-04"' in text
    assert 'href="/day/2031-03-05"' in text
    assert "hx-trigger" not in text
    assert "Dee Out" not in text
    assert "changed since" not in text
    assert kept_day(store, DATE) == before
    save_day(store, a_clinic_day(), a_clinic_plan(a_clinic_day(), "09:05"), read=1, actor="test")
    assert "A day was changed since" in client.get(ADDRESS, headers=HERE).text


def a_clinic_day_on(day: date) -> Day:
    return replace(a_clinic_day(), date=day)


def test_cancel_keeps_the_days_and_one_range_at_a_time_is_looked_at(app: FastAPI) -> None:
    room = HoldingBackRoom(store_of(app), looked_and_deaf)
    app.state.parts = replace(cast("Parts", app.state.parts), holding_back=room)
    client = client_of(app, "manager", follow_redirects=False)
    client.post(ADDRESS, data=ASKED, headers=HERE)
    again = client.post(ADDRESS, data=ASKED, headers=HERE)
    assert again.status_code == 422
    assert "a range is being looked at" in again.text
    until = time.monotonic() + 15
    while (current := room.current()) and not current.done and time.monotonic() < until:
        time.sleep(0.02)
    assert "1 of 1 days looked at" in client.get(ADDRESS, headers=HERE).text
    client.post(f"{ADDRESS}/cancel", headers=HERE)
    current = ended(room)
    assert current.message == "Stopped after 1 of 1 days; these are below."
    assert current.found == FOUND


def test_tables_as_csv_add_up_and_are_not_taken_for_formulas(app: FastAPI) -> None:
    client = client_of(app, "manager")
    assert client.get(f"{ADDRESS}/csv/list", headers=HERE).status_code == 404
    room = room_of(app)
    room._current = Looked(first=DATE, last=DATE, of=1, done=1, found=FOUND, ended=True)
    answer = client.get(f"{ADDRESS}/csv/list", headers=HERE)
    assert "holding-back-list-2031-03-04-2031-03-04.csv" in answer.headers["content-disposition"]
    header, *rows = csv.reader(io.StringIO(csv_text(answer)))
    assert header == ["resource", "what was in the way", "minutes", "% of all", "visits"]
    assert rows == [
        ["'=Rowan, s1", "No channel is free", "40", "80.00", "2"],
        ["The visit itself", "The patient is not free then", "10", "20.00", "1"],
    ]
    days = list(csv.reader(io.StringIO(csv_text(client.get(f"{ADDRESS}/csv/days", headers=HERE)))))
    assert days[1] == ["2031-03-04", "30", "20", "5", "'=Rowan, s1: No channel is free", "60"]
    assert client.get(f"{ADDRESS}/csv/other", headers=HERE).status_code == 404


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"first": "today"}, "that is no date"),
        ({"last": ""}, "that is no date"),
        ({"last": "2031-02-28"}, "2031-02-28 is before 2031-03-01"),
        ({"last": "2031-04-01"}, "more than 31 days"),
        ({"last": "2031-03-03"}, "no day of this range has a plan"),
    ],
)
def test_what_is_wrong_is_said_and_the_form_stays(app: FastAPI, changed: dict[str, str], said: str) -> None:
    asked = ASKED | changed
    answer = client_of(app, "manager").post(ADDRESS, data=asked, headers=HERE)
    assert answer.status_code == 422
    assert said in answer.text
    assert f'value="{asked["first"]}"' in answer.text
    assert room_of(app).current() is None


@pytest.mark.parametrize(
    ("role", "status"), [("desk", 403), ("therapist", 403), ("manager", 200), ("administrator", 200)]
)
def test_it_is_for_managers_and_administrators(app: FastAPI, role: Role, status: int) -> None:
    assert client_of(app, role).get(ADDRESS, headers=HERE).status_code == status


def test_bars_are_drawn_to_the_first_and_minutes_add_up_over_days() -> None:
    first, second = lines(added_up([HELD, HELD]), {})
    assert (first.what, first.minutes, first.bar) == ("U1 s1", 80, 240)
    assert (second.minutes, second.share, second.bar) == (20, "20.00", 60)
