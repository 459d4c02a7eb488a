"""The page on one more of something: asked for, followed, cancelled, taken as CSV, and what is refused."""

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

from app.main import create_app
from app.routes.parts import Parts
from app.services.days import kept_day, save_day
from app.services.use.compared_days import ComparedDay, Found
from app.services.use.one_job import Progress
from app.services.use.one_more import Asking, Compare, OneMoreRoom
from app.settings import Settings
from app.views.use.away import Day, away_table, sentences
from app.views.use.one_more import at_most, day_table, rows
from solver.comparing import Followed, Gain, Where
from solver.names import AimName, PlanStatus
from solver.variants import Kind
from solver.whatif import Comparison, Row
from solver.whatif import Found as Plans
from tests.app.clinic_days import DATE, HERE, a_clinic_day, a_clinic_plan, client_of, store_in
from tests.app.csv_given import csv_text
from tests.app.one_job import ended, only_telling
from tests.builders import fixed, fixed_part

ADDRESS = "/use/one-more"
ASKED = {"day": "2031-03-04", "span": "day", "seconds": "1", "kinds": ["unit away"]}
NAMES = {"units": {"U1": "Rowan", "U2": "Sorrel"}}


def plans(left_out: int, placed: tuple[int, int], wish: tuple[int, int], finish: int = 90) -> Plans:
    """Each aim as its bound and its score."""
    scores: dict[AimName, int] = {"placed": placed[1], "wish": wish[1], "finish": finish}
    bounds: dict[AimName, int] = {"placed": placed[0], "wish": wish[0]}
    return Plans(status="feasible", left_out=left_out, scores=scores, bounds=bounds)


def a_row(kind: Kind, of: str, found: Plans) -> Row:
    return Row(kind=kind, of=of, found=found, gain=Gain("open", "placed", 0))


def a_comparison(own: Plans, *found: Row, even: bool = False) -> Comparison:
    return Comparison(aims=("placed", "wish", "finish"), even=even, day=own, rows=found)


OWN = plans(2, (2, 2), (0, 30))
AWAY = replace(
    a_row("unit away", "U2", plans(4, (3, 4), (0, 10))),
    freed=("V3",),
    followed=(
        Followed("V3", Where(570, ("U2",)), Where(600, ("U1",))),
        Followed("V1", Where(540, ("U1",)), None),
        Followed("V9", Where(545, ("U2",)), Where(545, ("U1",))),
    ),
    moved=1,
)
ONE = a_comparison(OWN, a_row("unit", "U1", plans(1, (1, 1), (0, 10), 95)), AWAY)
FOUND: Found = (ComparedDay(DATE, ONE, True),)


compared_and_deaf = partial(only_telling, Progress(2, FOUND))
"""A comparison that tells of something and then never ends nor listens."""


def an_app(folder: Path, compare: Compare | None = None) -> tuple[FastAPI, OneMoreRoom]:
    app = create_app(Settings.found(), store_in(folder), compare=compare, clock=lambda: datetime(2031, 3, 1, 9, 0))
    return app, cast("Parts", app.state.parts).one_more


def table_of(app: FastAPI, name: str, dates: str) -> list[list[str]]:
    answer = client_of(app, "manager").get(f"{ADDRESS}/csv/{name}", headers=HERE)
    assert f'"one-more-{name}-{dates}.csv"' in answer.headers["content-disposition"]
    return list(csv.reader(io.StringIO(csv_text(answer))))


def test_a_unit_away_is_compared_and_the_day_is_left_alone(tmp_path: Path) -> None:
    app, room = an_app(tmp_path)
    client = client_of(app, "manager", follow_redirects=False)
    before = kept_day(room._store, DATE)
    assert client.get(ADDRESS, headers=HERE).text.count('value="2031-03-04"') == 1
    assert client.get(f"{ADDRESS}/csv/gains", headers=HERE).status_code == 404
    assert client.post(ADDRESS, data=ASKED, headers=HERE).status_code == 303
    assert "searches done" in client.get(ADDRESS, headers=HERE).text
    current = ended(room, 60)
    assert current.message == "Finished."
    assert (current.done, current.of) == (3, 3)
    (compared,) = current.found
    assert compared.comparison is not None
    assert [(row.of, len(row.followed)) for row in compared.comparison.rows] == [("U1", 2), ("U2", 1)]
    text = client.get(ADDRESS, headers=HERE).text
    assert "Rowan away: " in text
    assert "the plan that is kept" in text
    assert "hx-trigger" not in text
    away = table_of(app, "away", "2031-03-04")
    assert [[row[2], row[0], row[3]] for row in away[1:]] == [
        ["Rowan", "Ann Early", "09:00, Rowan"],
        ["Rowan", "Bea Later", "10:00, Rowan"],
        ["Sorrel", "Cy Two", "09:30, Sorrel"],
    ]
    assert client.get(f"{ADDRESS}/csv/other", headers=HERE).status_code == 404
    assert kept_day(room._store, DATE) == before


def test_a_visit_fixed_to_a_unit_has_a_plan_without_it(tmp_path: Path) -> None:
    app, room = an_app(tmp_path)
    day = a_clinic_day()
    held = replace(day.visits[1], fixed=fixed(fixed_part(start="10:00", unit="U1")))
    day = replace(day, visits=(day.visits[0], held, *day.visits[2:]))
    save_day(room._store, day, a_clinic_plan(day), read=1, actor="test")
    client_of(app, "manager").post(ADDRESS, data=ASKED, headers=HERE)
    comparison = ended(room, 60).found[0].comparison
    assert comparison is not None
    away = comparison.rows[0]
    assert (away.of, away.freed) == ("U1", ("V2",))
    assert away.gain is not None
    assert ["Bea Later", "was fixed to it, and is freed"] in [
        [row[0], row[5]] for row in table_of(app, "away", "2031-03-04")
    ]


def test_the_days_of_a_week_are_compared_and_their_gains_added_up(tmp_path: Path) -> None:
    app, room = an_app(tmp_path)
    for days in (1, 3, 4):  # Wednesday, Friday, Saturday; the week begins on 2031-03-03
        save_day(room._store, replace(a_clinic_day(), date=DATE + timedelta(days)), None, read=0, actor="test")
    client = client_of(app, "manager")
    client.post(ADDRESS, data=ASKED | {"span": "five", "day": "2031-03-09", "kinds": ["bay"]}, headers=HERE)
    current = ended(room, 60)
    assert [each.isoformat() for each in current.days] == ["2031-03-04", "2031-03-05", "2031-03-07"]
    assert (current.done, current.of) == (9, 9)
    text = client.get(ADDRESS, headers=HERE).text
    assert "Tuesday 4 March 2031 to Friday 7 March 2031" in text
    gains, days_of = (table_of(app, name, "2031-03-04-2031-03-07") for name in ("gains", "days"))
    assert [row[1:4] for row in gains[1:]] == [["Front", "3", "0"], ["Back", "3", "0"]]
    visits = gains[0].index("visits gained")
    each_day = [int(row[days_of[0].index("visits gained")]) for row in days_of[1:] if row[2] == gains[1][1]]
    assert int(gains[1][visits]) == sum(each_day)
    assert [row[0] for row in days_of[1:]] == ["Tue 4 Mar"] * 2 + ["Wed 5 Mar"] * 2 + ["Fri 7 Mar"] * 2


def test_a_loss_is_a_number_in_the_file_and_a_day_that_was_changed_is_said_to_be(tmp_path: Path) -> None:
    app, room = an_app(tmp_path)
    room._current = Asking(
        of=3, done=3, found=FOUND, ended=True, date=DATE, span="day", days={DATE: 1}, seconds=1, kinds=("unit",)
    )
    gains = table_of(app, "gains", "2031-03-04")
    assert gains[2][4:] == ["-2", "20", "0", "open", "points of priority left out", "-2", "-2", "-1"]
    client = client_of(app, "manager")
    assert "The day was changed since" not in client.get(ADDRESS, headers=HERE).text
    save_day(room._store, a_clinic_day(), a_clinic_plan(a_clinic_day(), "09:05"), read=1, actor="test")
    assert "The day was changed since" in client.get(ADDRESS, headers=HERE).text


def test_cancel_keeps_what_was_compared_and_one_runs_at_a_time(tmp_path: Path) -> None:
    app, room = an_app(tmp_path, compared_and_deaf)
    client = client_of(app, "manager", follow_redirects=False)
    client.post(ADDRESS, data=ASKED, headers=HERE)
    again = client.post(ADDRESS, data=ASKED, headers=HERE)
    assert again.status_code == 422
    assert "a comparison is running" in again.text
    until = time.monotonic() + 15
    while (current := room.current()) and not current.done and time.monotonic() < until:
        time.sleep(0.02)
    client.post(f"{ADDRESS}/cancel", headers=HERE)
    current = ended(room, 10)
    assert current.message == "Stopped; what was compared until then is below."
    assert current.found == FOUND


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"day": "tomorrow"}, "that is no date"),
        ({"day": "2031-03-05"}, "nobody is booked on 2031-03-05"),
        ({"day": "2031-03-12", "span": "six"}, "nobody is booked in the week of 2031-03-12"),
        ({"day": "9999-12-31", "span": "six"}, "nobody is booked in the week of 9999-12-31"),
        ({"day": "0001-01-01", "span": "five"}, "nobody is booked in the week of 0001-01-01"),
        ({"span": "month"}, "choose that day"),
        ({"seconds": "0"}, "give whole seconds from 1 to 60"),
        ({"seconds": "61"}, "give whole seconds from 1 to 60"),
        ({"kinds": []}, "choose at least one"),
        ({"kinds": ["battery"]}, "choose at least one"),
    ],
)
def test_what_is_wrong_is_said_and_the_form_stays(tmp_path: Path, changed: dict[str, object], said: str) -> None:
    app, room = an_app(tmp_path)
    answer = client_of(app, "manager").post(ADDRESS, data=ASKED | changed, headers=HERE)
    assert answer.status_code == 422
    assert said in answer.text
    assert f'value="{(ASKED | changed)["seconds"]}"' in answer.text
    assert room.current() is None


def test_a_day_that_has_no_plan_does_not_keep_the_others_from_theirs(tmp_path: Path) -> None:
    app, room = an_app(tmp_path)
    day = a_clinic_day()
    clash = [replace(visit, fixed=fixed(fixed_part(start="11:55", unit="U1"))) for visit in day.visits[:2]]
    save_day(room._store, replace(day, date=date(2031, 3, 3), visits=tuple(clash)), None, read=0, actor="test")
    client = client_of(app, "manager")
    client.post(ADDRESS, data=ASKED | {"span": "six", "seconds": "20", "kinds": ["bay"]}, headers=HERE)
    first, second = ended(room, 60).found
    assert first.comparison is None
    assert second.comparison is not None
    assert first.why == "What is fixed cannot all stand, so that the day itself has no plan."
    assert first.why in client.get(ADDRESS, headers=HERE).text


def test_gains_and_losses_have_their_sign_and_their_side() -> None:
    gains, loses = rows([ONE], NAMES)
    assert (gains.of, gains.visits, gains.minutes, gains.finish) == ("Rowan", "+1", "+20", "−5")
    assert gains.verdict == "proved: 1 fewer points of priority left out"
    assert (gains.before, gains.bar) == (160, 80)
    assert (loses.visits, loses.before, loses.bar) == ("−2", 0, 160)
    assert loses.verdict == "open: 2 more points of priority left out in the plans found, at least 1, at most 2"
    assert loses.cells[4:] == ("-2", "20", "0", "open", "points of priority left out", "-2", "-2", "-1")


THREE, ONE_OF_THREE, ONE_OUT = plans(3, (0, 3), (0, 9)), plans(1, (0, 1), (0, 9)), plans(1, (1, 1), (0, 9))
FAR, FOUND_FAR = plans(0, (0, 0), (9, 9)), "in the plans found, at most"


@pytest.mark.parametrize(
    ("own", "kind", "other", "said"),
    [
        (THREE, "bay", ONE_OF_THREE, f"open: 2 visits gained {FOUND_FAR} 3"),
        (
            plans(3, (2, 3), (0, 9)),
            "bay",
            ONE_OF_THREE,
            "open: 2 visits gained in the plans found, at least 1, at most 3",
        ),
        (ONE_OUT, "bay", plans(0, (0, 0), (0, 9)), "proved: 1 visit gained"),
        (ONE_OUT, "bay", ONE_OF_THREE, f"open: no visit gained {FOUND_FAR} 1 gained"),
        (ONE_OF_THREE, "unit away", ONE_OF_THREE, f"open: no visit gained {FOUND_FAR} 1 gained and 1 lost"),
        (FAR, "bay", plans(0, (0, 0), (4, 4)), "proved: 5 fewer minutes from wish"),
        (FAR, "bay", plans(0, (0, 0), (2, 9)), f"open: as many minutes from wish {FOUND_FAR} 7 fewer"),
    ],
)
def test_bounds_are_figures_and_what_is_open_is_said_to_be(own: Plans, kind: Kind, other: Plans, said: str) -> None:
    (shown,) = rows([a_comparison(own, a_row(kind, "U1", other), even=True)], {})
    assert shown.verdict == said


def test_days_together_are_proved_where_each_is_and_later_aims_count_only_then() -> None:
    proved = a_comparison(plans(1, (1, 1), (9, 9)), a_row("bay", "front", plans(0, (0, 0), (9, 9))), even=True)
    opened = a_comparison(plans(2, (0, 2), (9, 9)), a_row("bay", "front", plans(1, (0, 1), (9, 9))), even=True)
    same = a_comparison(plans(0, (0, 0), (9, 9), 90), a_row("bay", "front", plans(0, (0, 0), (4, 4), 80)), even=True)
    assert rows([proved, proved], {})[0].verdict == "proved: 2 visits gained"
    mixed = rows([proved, opened, same], {})[0]
    assert mixed.verdict == "open: 2 visits gained in the plans found, at least 1, at most 3"
    assert (mixed.days, mixed.visits, mixed.minutes, mixed.finish) == (3, "+2", "+5", "+10")
    assert rows([same, same], {})[0].verdict == "proved: 10 fewer minutes from wish"
    table = day_table([("Mon", proved), ("Tue", same)], {})
    assert [row[:4] for row in table.rows] == [
        ("Mon", "one more bay", "front", "1"),
        ("Tue", "one more bay", "front", "0"),
    ]


@pytest.mark.parametrize(
    ("status", "said"),
    [("infeasible", "proved: there is no plan"), (None, "open: no plan was found in the time")],
)
def test_where_there_is_no_plan_that_is_said(status: PlanStatus | None, said: str) -> None:
    nothing = Plans(status=status, scores={}, bounds={})
    without = a_comparison(OWN, Row(kind="unit away", of="U2", found=nothing, gain=None))
    (shown,) = rows([without], NAMES)
    assert (shown.verdict, shown.visits) == (said, "")
    assert "; no plan on 1 of 2 days" in rows([without, a_comparison(OWN, AWAY)], NAMES)[0].verdict
    assert sentences([Day("Tue 4 Mar", without, {})], NAMES) == ("Tue 4 Mar, Sorrel away: no plan without it.",)


def test_it_is_said_what_becomes_of_whom() -> None:
    day = Day("Tue 4 Mar", ONE, {"V3": "Cy Two", "V1": "Ann Early"})
    assert away_table([day], NAMES).rows == (
        ("Cy Two", "Tue 4 Mar", "Sorrel", "09:30, Sorrel", "10:00, Rowan", "was fixed to it, and is freed"),
        ("Ann Early", "Tue 4 Mar", "Sorrel", "09:00, Rowan", "left out", "gives way to others"),
        ("V9", "Tue 4 Mar", "Sorrel", "09:05, Sorrel", "09:05, Rowan", "is on it"),
    )
    (line,) = sentences([day], NAMES)
    assert line == (
        "Tue 4 Mar, Sorrel away: 1 visit keeps its time; 1 is at another time; 1 is left out; "
        "1 other is at another time or on another unit."
    )


def test_how_long_it_takes_at_most_is_reckoned_with_two_at_a_time() -> None:
    assert at_most(46, 5) == "2 min in all at most"
    assert at_most(270, 60) == "2 h 15 min in all at most"
