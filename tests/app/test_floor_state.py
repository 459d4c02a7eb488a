"""What the Floor's events come to."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from app.services.floor.events import Event, may_be_undone
from app.services.floor.may import (
    OF_PARTS,
    OF_THINGS,
    OF_VISITS,
    fault_of_part,
    fault_of_undo,
    fault_of_visit,
    running_parts,
)
from app.services.floor.remaining import part_due, phase_left, seconds_left
from app.services.floor.state import State, VisitRun, state_of
from tests.app.floor_days import DECIDED, Floor, instant


def test_a_part_goes_through_its_phases() -> None:
    floor = Floor()
    floor.run("V1", ["09:00", "09:05", "09:16", "09:21"])
    run = floor.reading().state.visits["V1"].parts[0]
    assert [phase.lasted(instant("10:00")) / 60 for phase in run.phases] == [5, 11, 5]
    assert (run.over, run.how, run.phase) == (instant("09:21"), "ended", 2)


def test_a_pause_does_not_count_towards_a_phase() -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    floor.say("09:02", "paused", "V1", 0, reason="")
    floor.say("09:04", "resumed", "V1", 0)
    reading = floor.reading()
    part, run = reading.day.visit_by_id["V1"].parts[0], reading.state.visits["V1"].parts[0]
    assert phase_left(part, run, instant("09:05:30")) == 90
    assert seconds_left(part, run, instant("09:05:30")) == 90 + 15 * 60
    assert part_due(part, run, instant("09:05:30")) == instant("09:22")


def test_a_pause_that_goes_on_puts_the_end_off() -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    floor.say("09:02", "paused", "V1", 0, reason="")
    reading = floor.reading()
    part, run = reading.day.visit_by_id["V1"].parts[0], reading.state.visits["V1"].parts[0]
    assert run.paused
    assert phase_left(part, run, instant("09:03")) == phase_left(part, run, instant("09:30")) == 180


def test_a_phase_that_had_its_minutes_is_over_its_time() -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    reading = floor.reading()
    part, run = reading.day.visit_by_id["V1"].parts[0], reading.state.visits["V1"].parts[0]
    assert phase_left(part, run, instant("09:06")) == -60
    assert seconds_left(part, run, instant("09:06")) == 15 * 60


def test_stopping_ends_the_visit() -> None:
    floor = Floor()
    floor.begin("V3", "09:30")
    floor.say("09:35", "stopped", "V3", 0, reason="dizzy")
    reading = floor.reading()
    assert reading.is_over("V3")
    assert reading.state.visits["V3"].parts[0].reason == "dizzy"


def test_an_item_is_set_aside_until_it_is_clean() -> None:
    floor = Floor()
    floor.say("09:00", "set_aside", item="head-1")
    assert set(floor.reading().state.aside) == {"head-1"}
    floor.say("09:10", "clean", item="head-1")
    assert floor.reading().state.aside == {}


def test_a_unit_is_out_until_it_is_in_service() -> None:
    floor = Floor()
    floor.say("09:00", "out_of_service", unit="U1", reason="smoke", minute=600)
    assert floor.reading().state.out["U1"].until == 600
    floor.say("09:10", "in_service", unit="U1")
    assert floor.reading().state.out == {}


def test_what_is_taken_back_did_not_happen() -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    floor.undo("09:01", floor.events[-1])
    assert floor.reading().state.visits["V1"].parts == {}


def test_taking_back_can_be_taken_back() -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    undone = floor.undo("09:01", floor.events[-1])
    floor.undo("09:02", undone)
    assert 0 in floor.reading().state.visits["V1"].parts


def test_only_the_last_press_about_a_thing_can_be_taken_back() -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    floor.say("09:00", "set_aside", item="head-1")
    assert [may_be_undone(floor.events, event.id) for event in floor.events] == [False, False, True, True]


DETAILS: dict[str, dict[str, Any]] = {
    "expected": {"minute": 600},
    "decided": DECIDED,
    "signed": {"note": ""},
    "set": {"said": "0.8 W/cm²"},
    "comfort": {"said": "well"},
    "skin": {"when": "before", "said": "as ever"},
    "paused": {"reason": ""},
    "ended": {"reason": "enough"},
    "stopped": {"reason": "dizzy"},
    "set_aside": {"item": "head-1"},
    "clean": {"item": "head-1"},
    "out_of_service": {"unit": "U1", "reason": "smoke"},
    "in_service": {"unit": "U1"},
    "battery_empty": {"unit": "U1"},
    "away": {"staff": "T1", "reason": ""},
    "back": {"staff": "T1"},
}
FORWARD = "forward"
"""Whatever comes next of arriving, deciding and starting; drawn often, so that parts run beside each other."""
KINDS = [*sorted(OF_VISITS | OF_PARTS | OF_THINGS), *(["undone", "ended"] * 4), *([FORWARD] * 16)]
ACTIONS = st.tuples(st.sampled_from(KINDS), st.sampled_from(["V1", "V2", "V3"]), st.integers(0, 1), st.integers(0, 5))


TAKEN_BACK_TOO_LATE = [
    *([(FORWARD, "V1", 0, 0)] * 3),
    ("ended", "V1", 0, 0),
    *([(FORWARD, "V2", 0, 0)] * 3),
    ("undone", "V1", 0, 0),
]
"""An end that would be taken back while its channel runs for somebody else; drawing alone seldom comes upon it."""


def next_step(floor: Floor, visit: str) -> tuple[str, int]:
    """What comes next of a visit on its way to a start, and of which part."""
    run = floor.reading().state.visit(visit)
    kind = "arrived" if run.arrived is None else "decided" if run.decision is None else "started"
    return kind, len(run.parts)


def pressed(floor: Floor, time: str, action: tuple[str, str, int, int]) -> Event | None:
    """The event, where it is accepted."""
    kind, visit, part, phase = action
    if kind == FORWARD:
        kind, part = next_step(floor, visit)
    reading = floor.reading()
    if kind == "undone":
        last = [one for one in floor.events if may_be_undone(floor.events, one.id)]
        event = last[phase % len(last)] if last else None
        return None if event is None or fault_of_undo(reading, event) is not None else floor.undo(time, event)
    if kind in OF_THINGS:
        return floor.say(time, kind, **DETAILS[kind])
    detail = DETAILS.get(kind, {})
    if kind in ("phase", "taken_over"):
        detail = {"phase": phase, "staff": "T1"}
    if kind in OF_VISITS:
        fault, number = fault_of_visit(reading, kind, visit), None
    else:
        fault, number = fault_of_part(reading, kind, visit, part, detail, instant(time)), part
    return None if fault is not None else floor.say(time, kind, visit, number, **detail)


def known(state: State) -> State:
    """Without visits of which nothing stands."""
    return replace(state, visits={code: run for code, run in state.visits.items() if run != VisitRun()})


def held(floor: Floor) -> list[tuple[str, ...]]:
    """Each channel and item that a part which runs has, as often as one has it."""
    reading, found = floor.reading(), list[tuple[str, ...]]()
    for code, number, _ in running_parts(reading):
        _, placed = reading.part(code, number)
        found += [("channel", placed.unit, name) for names in placed.channels.values() for name in names]
        found += [("item", name) for names in placed.items.values() for name in names]
    return found


@settings(max_examples=200, deadline=None)
@example(TAKEN_BACK_TOO_LATE)
@given(st.lists(ACTIONS, min_size=25, max_size=40))
def test_whatever_is_accepted_shares_nothing_and_folds_again(
    actions: list[tuple[str, str, int, int]],
) -> None:
    floor = Floor()
    for number, action in enumerate(actions):
        time = f"{9 + number // 60:02d}:{number % 60:02d}"
        before = state_of(floor.events)
        event = pressed(floor, time, action)
        after = state_of(floor.events)
        if event is None:
            assert after == before
            continue
        assert len(held(floor)) == len(set(held(floor)))
        floor.undo(time, event)
        assert known(state_of(floor.events)) == known(before)
        floor.events.pop()
        shuffled = [replace(one) for one in reversed(floor.events)]  # read again, in whatever order they come
        assert state_of(shuffled) == after


@pytest.mark.parametrize("time", ["09:00", "09:04:59"])
def test_seconds_left_never_fall_below_nothing(time: str) -> None:
    floor = Floor()
    floor.begin("V2", "09:00")
    reading = floor.reading()
    part, run = reading.day.visit_by_id["V2"].parts[0], reading.state.visits["V2"].parts[0]
    assert seconds_left(part, run, instant(time)) > 0
