"""What the Floor's events come to."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.services.floor.events import may_be_undone, standing
from app.services.floor.may import OF_VISITS, fault_of_part, fault_of_visit
from app.services.floor.remaining import part_due, phase_left, seconds_left
from app.services.floor.state import state_of
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


ACTIONS = st.tuples(
    st.sampled_from(["arrived", "decided", "started", "phase", "paused", "resumed", "ended", "stopped", "skin"]),
    st.sampled_from(["V1", "V2", "V3"]),
    st.integers(0, 1),
    st.integers(0, 3),
)
DETAILS: dict[str, dict[str, Any]] = {
    "decided": DECIDED,
    "ended": {"reason": "enough"},
    "stopped": {"reason": "dizzy"},
    "skin": {"when": "before", "said": "as ever"},
}


@settings(max_examples=150, deadline=None)
@given(st.lists(ACTIONS, max_size=40))
def test_whatever_was_accepted_folds_again_and_undoing_goes_back(actions: list[tuple[str, str, int, int]]) -> None:
    floor = Floor()
    for number, (kind, visit, part, phase) in enumerate(actions):
        time = f"{9 + number // 60:02d}:{number % 60:02d}"
        detail = {"phase": phase} if kind == "phase" else DETAILS.get(kind, {})
        reading = floor.reading()
        if kind in OF_VISITS:
            fault = fault_of_visit(reading, kind, visit)
            number_of_part = None
        else:
            fault = fault_of_part(reading, kind, visit, part, detail, instant(time))
            number_of_part = part
        if fault is not None:
            continue
        before = state_of(floor.events)
        event = floor.say(time, kind, visit, number_of_part, **detail)
        after = state_of(floor.events)
        floor.undo(time, event)
        undone = state_of(floor.events)
        assert undone.visits.get(visit) == before.visits.get(visit) or not before.visits.get(visit)
        assert {code: run for code, run in undone.visits.items() if code != visit} == {
            code: run for code, run in before.visits.items() if code != visit
        }
        floor.undo(time, floor.events[-1])
        assert state_of(floor.events) == after
    again = [replace(event) for event in floor.events]
    assert state_of(again) == state_of(floor.events)
    assert len(standing(floor.events)) * 1 <= len(floor.events)


@pytest.mark.parametrize("time", ["09:00", "09:04:59"])
def test_seconds_left_never_fall_below_nothing(time: str) -> None:
    floor = Floor()
    floor.begin("V2", "09:00")
    reading = floor.reading()
    part, run = reading.day.visit_by_id["V2"].parts[0], reading.state.visits["V2"].parts[0]
    assert seconds_left(part, run, instant(time)) > 0
