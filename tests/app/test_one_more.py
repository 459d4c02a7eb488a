"""The page on one more of something: asked for, followed, cancelled, and what is refused."""

import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import cast

import pytest
from fastapi import FastAPI

from app.main import create_app
from app.routes.parts import Parts
from app.services.days import kept_day
from app.services.use.one_job import Progress
from app.services.use.one_more import Compare, Comparison, Found, OneMoreRoom
from app.settings import Settings
from app.views.use.one_more import rows
from solver.problem import Day
from solver.progress import StopRequest
from solver.variants import Kind
from tests.app.clinic_days import DATE, HERE, client_of, store_in

ASKED = {"day": "2031-03-04", "seconds": "1", "kinds": ["unit away"]}
OWN = {"left_out": 2, "scores": {"wish": 30, "finish": 90}}
SCORES = {"wish": 10, "finish": 95}
GAINS = {"kind": "unit", "of": "U1", "status": "optimal", "left_out": 1, "scores": SCORES, "affected": []}
LOSES = GAINS | {"kind": "unit away", "of": "U2", "left_out": 4, "affected": ["V3"]}
FOUND: Found = {
    "day": OWN,
    "variants": [
        GAINS | {"verdict": "proved", "aim": "placed", "gain": 1},
        LOSES | {"verdict": "at least", "aim": "placed", "gain": -2},
    ],
}


def compared_and_deaf(
    day: Day, seconds: int, kinds: tuple[Kind, ...], tell: Callable[[Progress[Found]], None], should_stop: StopRequest
) -> Found | None:
    """A comparison that tells of something and then never ends nor listens."""
    tell(Progress(2, FOUND))
    time.sleep(60)
    raise AssertionError("nobody waits this long")


def an_app(folder: Path, compare: Compare | None = None) -> tuple[FastAPI, OneMoreRoom]:
    app = create_app(Settings.found(), store_in(folder), compare=compare, clock=lambda: datetime(2031, 3, 1, 9, 0))
    return app, cast("Parts", app.state.parts).one_more


def ended(room: OneMoreRoom, seconds: float = 30) -> Comparison:
    room.wait(seconds)
    current = room.current()
    assert current is not None
    assert current.ended
    return current


def test_a_unit_away_is_compared_and_the_day_is_left_alone(tmp_path: Path) -> None:
    app, room = an_app(tmp_path)
    client = client_of(app, "manager", follow_redirects=False)
    before = kept_day(room._store, DATE)
    assert client.get("/use/one-more", headers=HERE).text.count('value="2031-03-04"') == 1
    assert client.post("/use/one-more", data=ASKED, headers=HERE).status_code == 303
    assert "days planned" in client.get("/use/one-more", headers=HERE).text
    current = ended(room)
    assert current.message == "Finished."
    assert (current.done, current.of) == (3, 3)
    assert current.found is not None
    assert [each["of"] for each in current.found["variants"]] == ["U1", "U2"]
    text = client.get("/use/one-more", headers=HERE).text
    assert "Rowan" in text
    assert "hx-trigger" not in text
    assert kept_day(room._store, DATE) == before


def test_cancel_keeps_what_was_compared_and_one_runs_at_a_time(tmp_path: Path) -> None:
    app, room = an_app(tmp_path, compared_and_deaf)
    client = client_of(app, "manager", follow_redirects=False)
    client.post("/use/one-more", data=ASKED, headers=HERE)
    again = client.post("/use/one-more", data=ASKED, headers=HERE)
    assert again.status_code == 422
    assert "a comparison is running" in again.text
    until = time.monotonic() + 15
    while (current := room.current()) and not current.done and time.monotonic() < until:
        time.sleep(0.02)
    client.post("/use/one-more/cancel", headers=HERE)
    current = ended(room, 10)
    assert current.message == "Stopped; what was compared until then is below."
    assert current.found == FOUND


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"day": "tomorrow"}, "that is no date"),
        ({"day": "2031-03-05"}, "nobody is booked on 2031-03-05"),
        ({"seconds": "0"}, "give whole seconds from 1 to 60"),
        ({"seconds": "61"}, "give whole seconds from 1 to 60"),
        ({"kinds": []}, "choose at least one"),
        ({"kinds": ["battery"]}, "choose at least one"),
    ],
)
def test_what_is_wrong_is_said_and_the_form_stays(tmp_path: Path, changed: dict[str, object], said: str) -> None:
    app, room = an_app(tmp_path)
    answer = client_of(app, "manager").post("/use/one-more", data=ASKED | changed, headers=HERE)
    assert answer.status_code == 422
    assert said in answer.text
    assert f'value="{(ASKED | changed)["seconds"]}"' in answer.text
    assert room.current() is None


def test_gains_and_losses_have_their_sign_and_their_side() -> None:
    gains, loses = rows(FOUND, {"units": {"U1": "Rowan"}})
    assert (gains.of, gains.visits, gains.minutes, gains.finish) == ("Rowan", "+1", "+20", "−5")
    assert gains.verdict == "proved: 1 fewer points of priority left out"
    assert (gains.before, gains.bar) == (160, 80)
    assert (loses.visits, loses.before, loses.bar, loses.affected) == ("−2", 0, 160, "V3")
    assert loses.verdict == "proved: at least 2 more points of priority left out"


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"status": "infeasible", "verdict": "no plan"}, "proved: there is no plan"),
        ({"status": "unknown", "verdict": "no plan"}, "open: no plan was found in the time"),
        ({"verdict": "open", "aim": "wish", "gain": 0}, "open: as many minutes from wish in the plans found"),
        ({"verdict": "proved", "aim": None, "gain": 0}, "proved: nothing in any aim"),
    ],
)
def test_what_is_not_proved_is_not_said_to_be(row: dict[str, object], said: str) -> None:
    (shown,) = rows({"day": OWN, "variants": [GAINS | {"aim": None, "gain": None} | row]}, {})
    assert shown.verdict == said
