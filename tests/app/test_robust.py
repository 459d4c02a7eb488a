"""The page on how robust a plan is: tried out, followed, cancelled, taken as CSV, and what is refused."""

import csv
import io
import time
from collections import Counter
from dataclasses import replace
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import cast

import pytest
from fastapi import FastAPI

from app.roles import Role
from app.routes.parts import Parts
from app.services.days import kept_day, save_day
from app.services.use.robust import RobustRoom, tried_out
from app.views.use.robust_form import SETTINGS, as_typed
from app.views.use.spread import end_piles, wait_piles
from solver.simulation import Settings, simulate
from solver.simulation.settings import SOURCES
from tests.app.clinic_days import DATE, HERE, a_clinic_day, a_clinic_plan, app_in, client_of, store_of
from tests.app.csv_given import csv_text
from tests.app.one_job import ended, never_ending

ADDRESS = "/use/robust"
LATE = Settings(late_share=0.5, late_mean=12.5, missed_share=0.1, overrun_share=0.3, overrun_mean=4)
ASKED = {"day": "2031-03-04", "runs": "120", "seed": "7"} | as_typed(LATE)


tried_and_deaf = partial(never_ending, tried_out)
"""Tells of the first runs, and then never ends nor listens."""


@pytest.fixture
def app(tmp_path: Path) -> FastAPI:
    return app_in(tmp_path, clock=lambda: datetime(2031, 3, 1, 9, 0))[0]


def room_of(app: FastAPI) -> RobustRoom:
    return cast("Parts", app.state.parts).robust


def test_a_plan_is_tried_out_as_the_command_does_and_left_alone(app: FastAPI) -> None:
    store = store_of(app)
    before = kept_day(store, DATE)
    client = client_of(app, "manager", follow_redirects=False)
    first = client.get(ADDRESS, headers=HERE).text
    assert 'value="2031-03-04"' in first
    assert 'value="7.7"' in first
    assert client.post(ADDRESS, data=ASKED, headers=HERE).status_code == 303
    current = ended(room_of(app))
    assert current.message == "Finished."
    assert current.found is not None
    assert current.found.figures == simulate(a_clinic_day(), a_clinic_plan(a_clinic_day()), LATE, runs=120, seed=7)
    text = client.get(ADDRESS, headers=HERE).text
    late = "Late: 50 %, by 12.5 min on the average. Missed: 10 %. Overrun: 30 %, by 4 min on the average."
    assert f"120 runs, seed 7. {late}" in text
    assert "Ann Early" in text
    assert "hx-trigger" not in text
    assert 'value="12.5"' in text
    assert "The day was changed since" not in text
    assert kept_day(store, DATE) == before


def test_cancel_keeps_what_the_runs_found_and_one_plan_at_a_time_is_tried(app: FastAPI) -> None:
    room = RobustRoom(store_of(app), tried_and_deaf)
    app.state.parts = replace(cast("Parts", app.state.parts), robust=room)
    client = client_of(app, "manager", follow_redirects=False)
    client.post(ADDRESS, data=ASKED | {"runs": "5000"}, headers=HERE)
    again = client.post(ADDRESS, data=ASKED, headers=HERE)
    assert again.status_code == 422
    assert "a plan is being tried out" in again.text
    until = time.monotonic() + 15
    while (current := room.current()) and not current.done and time.monotonic() < until:
        time.sleep(0.02)
    assert "1 of 105 steps done" in client.get(ADDRESS, headers=HERE).text
    client.post(f"{ADDRESS}/cancel", headers=HERE)
    current = ended(room)
    assert current.message == "Stopped after 50 of 5000 runs; what they found is below."
    text = client.get(ADDRESS, headers=HERE).text
    assert "50 runs, seed 7." in text
    assert "Slack before them was not looked for." in text


def test_tables_as_csv_name_patients_and_what_stands_behind(app: FastAPI) -> None:
    client = client_of(app, "manager")
    assert client.get(f"{ADDRESS}/csv/exposed", headers=HERE).status_code == 404
    client.post(ADDRESS, data=ASKED, headers=HERE)
    found = ended(room_of(app)).found
    assert found is not None
    tables = {name: table_of(client, name) for name in ("long", "exposed", "staff", "end", "waits")}
    assert client.get(f"{ADDRESS}/csv/other", headers=HERE).status_code == 404
    patients = {"V1": "Ann Early", "V2": "Bea Later", "V3": "Cy Two"}
    assert [row[0] for row in tables["exposed"][1:]] == [patients[one["visit"]] for one in found.figures["exposed"]]
    behind = {row[0]: row[5] for row in tables["exposed"][1:]}
    assert behind["Bea Later"] == "the hands of Tess Ray, after Cy Two (09:30)"
    assert sum(int(row[1]) for row in tables["end"][1:]) == 120
    assert sum(int(row[1]) for row in tables["waits"][1:]) == found.waits.total()
    assert [row[0] for row in tables["staff"][1:]] == ["Tess Ray", "Ali Bo"]
    waits = dict(zip(tables["long"][0], tables["long"][1], strict=True))
    wait = found.figures["wait"]
    assert (waits["half min"], waits["95 of 100 min"]) == (str(wait["p50_min"]), str(wait["p95_min"]))
    assert waits["how often %"] == f"{100 * wait['share']:.1f}"


def table_of(client: object, name: str) -> list[list[str]]:
    answer = client.get(f"{ADDRESS}/csv/{name}", headers=HERE)  # type: ignore[attr-defined]
    assert f"robust-{name}-2031-03-04-seed-7.csv" in answer.headers["content-disposition"]
    return list(csv.reader(io.StringIO(csv_text(answer))))


def test_a_day_that_was_changed_since_is_said_to_be(app: FastAPI) -> None:
    client = client_of(app, "manager")
    client.post(ADDRESS, data=ASKED, headers=HERE)
    ended(room_of(app))
    save_day(store_of(app), a_clinic_day(), a_clinic_plan(a_clinic_day(), "09:05"), read=1, actor="test")
    assert "The day was changed since" in client.get(ADDRESS, headers=HERE).text


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"day": "tomorrow"}, "that is no date"),
        ({"day": "2031-03-05"}, "no plan is kept of 2031-03-05"),
        ({"runs": "0"}, "give a whole number from 1 to 10000"),
        ({"runs": "10001"}, "give a whole number from 1 to 10000"),
        ({"seed": "-1"}, "give a whole number from 0 to 2147483647"),
        ({"seed": "2147483648"}, "give a whole number from 0 to 2147483647"),
        ({"late_share": "100.1"}, "give a per cent from 0 to 100"),
        ({"missed_share": "many"}, "give one such as 7.7, or 0"),
        ({"late_mean": "300"}, "300 is out of range; give minutes from 1 to 240"),
        ({"late_mean": "0.5"}, "0.5 is out of range; give minutes from 1 to 240"),
        ({"overrun_share": "5", "overrun_mean": "0"}, "give minutes from 1 to 240"),
        ({"late_limit": "2.5"}, "that is no whole number"),
        ({"late_limit": "241"}, "241 is out of range"),
        ({"day": "x", "late_limit": "y"}, "that is no whole number"),
    ],
)
def test_what_is_wrong_is_said_and_the_form_stays(app: FastAPI, changed: dict[str, str], said: str) -> None:
    asked = ASKED | changed
    answer = client_of(app, "manager").post(ADDRESS, data=asked, headers=HERE)
    assert answer.status_code == 422
    assert said in answer.text
    for name, value in asked.items():
        assert f'name="{name}"' in answer.text
        assert f'value="{value}"' in answer.text
    assert answer.text.count('class="fault"') == len(changed) - ("overrun_mean" in changed)
    assert room_of(app).current() is None


@pytest.mark.parametrize(
    ("role", "status"), [("desk", 403), ("therapist", 403), ("manager", 200), ("administrator", 200)]
)
def test_it_is_for_managers_and_administrators(app: FastAPI, role: Role, status: int) -> None:
    assert client_of(app, role).get(ADDRESS, headers=HERE).status_code == status


def test_the_next_planned_day_is_suggested_and_today_where_there_is_none(app: FastAPI) -> None:
    room = room_of(app)
    assert room.suggested(date(2031, 3, 1)) == DATE
    assert room.suggested(DATE) == DATE
    assert room.suggested(date(2031, 3, 9)) == date(2031, 3, 9)


def test_what_was_published_stands_beside_its_field_as_the_simulation_has_it() -> None:
    texts = {name: text for name, _, text in SETTINGS}
    typed = as_typed(Settings())
    assert list(texts) == list(typed)
    for name in ("late_share", "late_mean", "missed_share"):
        assert typed[name] in texts[name]
    for name in ("overrun_share", "overrun_mean", "late_limit"):
        assert (typed[name], "No published figure" in texts[name]) == ("0", True)
    for source in ("Williams 2014, BMJ Open 4:e004679", "English outpatients 2013/14", "57.3 % (Mbada 2013)"):
        assert source in " ".join(texts.values())
        assert source in " ".join(SOURCES)


def test_ends_are_piled_up_to_the_planned_end_and_to_closing() -> None:
    # Planned 17:00, closing 17:12, piles of 5 minutes.
    finish = Counter({1010: 1, 1020: 4, 1021: 2, 1032: 2, 1033: 1})
    piles = end_piles(finish, 1020, 1032)
    assert [(pile.name, pile.often, pile.kind) for pile in piles] == [
        ("until 16:50", 1, "early"),
        ("16:51 to 16:55", 0, "early"),
        ("16:56 to 17:00", 4, "early"),
        ("17:01 to 17:05", 2, "late"),
        ("17:06 to 17:10", 0, "late"),
        ("17:11 to 17:12", 2, "late"),
        ("17:13 to 17:15", 1, "closed"),
    ]
    assert (piles[2].height, piles[2].percent, piles[0].height) == (120, "40.0", 30)


@pytest.mark.parametrize("finish", [{}, {1000: 3}, {600: 1, 1400: 1}, {1020: 1, 1500: 9}])
def test_every_end_is_in_one_pile_and_there_are_few(finish: dict[int, int]) -> None:
    piles = end_piles(finish, 1020, 1080)
    assert sum(pile.often for pile in piles) == sum(finish.values())
    assert len(piles) <= 18


def test_waits_are_piled_and_drawn_to_the_most_of_those_who_wait() -> None:
    piles = wait_piles({0: 90, 3: 6, 5: 2, 6: 1, 40: 1})
    assert [(pile.name, pile.often) for pile in piles] == [
        ("none", 90),
        ("1–5", 8),
        ("6–10", 1),
        ("11–15", 0),
        ("16–20", 0),
        ("21–30", 0),
        ("31–40", 1),
    ]
    assert piles[1].height == 120
    assert [pile.often for pile in wait_piles({0: 4})] == [4]
