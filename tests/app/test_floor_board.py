"""The board: hands, watch, batteries and cleaning, from what happened and what is to come."""

from dataclasses import replace
from pathlib import Path

import pytest

from app.services.day_room import DayRoom
from app.services.demo_floor import happened_of
from app.services.floor.board import board_of
from app.services.floor.happened import happened
from app.services.floor.late import LateRoom
from app.services.floor.room import FloorRoom
from app.services.floor.taking_over import abandoned
from solver.late import live_day, shifted
from solver.verify.energy import battery_trace
from solver.watches import watches_of
from tests.app.clinic_days import store_in
from tests.app.floor_days import ZONE, Floor, instant, minute

TIMES = [f"{hour:02d}:{at:02d}" for hour in (9, 10, 11) for at in range(0, 60, 7)]
MINUTES = [f"{hour:02d}:{at:02d}" for hour in (9, 10, 11) for at in range(60)]


def on_time(until: str) -> Floor:
    """The plan kept to the minute until then."""
    floor = Floor()
    told = [
        (one, visit.id)
        for visit in floor.plan.visits
        if visit.parts[0].start <= minute(until)
        for one in happened_of(floor.day, visit, ZONE, instant(until))
    ]
    for one, visit in sorted(told, key=lambda pair: pair[0].at):
        event = floor.say("00:00", one.kind, visit, one.part, **one.detail)
        floor.events[-1] = type(event)(event.id, event.kind, visit, one.part, one.at, "Tess Ray", one.detail)
    return floor


def planned_watch(floor: Floor, at: int) -> int:
    """Free watch of the plan at the minute, by the contract's rule, counted here again."""
    day, plan = floor.day, floor.plan
    phases = [
        (phase, start, end, hands)
        for placed in plan.visits
        for part, where in zip(day.visit_by_id[placed.id].parts, placed.parts, strict=True)
        for (phase, (start, end)), hands in zip(part.phases_at(where.start), where.hands, strict=True)
    ]
    running = sum(phase.unattended and start <= at < end for phase, start, end, _ in phases)
    total = 0
    for member in day.staff:
        there = any(hours.start <= at < hours.end for hours in member.hours)
        at_break = any(one.staff == member.id and one.start <= at < one.end for one in plan.breaks)
        busy = any(hands == member.id and start <= at < end for _, start, end, hands in phases)
        if there and not at_break:
            total += watches_of(day)[member.id][busy]
    return total - running


@pytest.mark.parametrize("time", MINUTES)
def test_watch_is_the_plans_where_all_is_on_time(time: str) -> None:
    floor = on_time(time)
    now = instant(time)
    assert board_of(floor.reading(), now).watch.free == planned_watch(floor, minute(time))


@pytest.mark.parametrize("time", MINUTES)
def test_batteries_are_reckoned_as_the_verifier_does_where_all_is_on_time(time: str) -> None:
    floor = on_time(time)
    unit = floor.day.unit_by_id["U1"]
    traced = battery_trace(floor.day, floor.plan, unit)
    assert traced is not None
    assert unit.battery is not None
    level = traced.levels[minute(time) - floor.day.open]
    now = board_of(floor.reading(), instant(time)).batteries["U1"]
    assert now is not None
    assert now.now_pct == level * 100 // unit.battery.full_wmin


@pytest.mark.parametrize("time", TIMES)
def test_nothing_moves_where_all_is_on_time(time: str) -> None:
    floor = on_time(time)
    reading = floor.reading()
    outcome = shifted(live_day(floor.day, floor.plan, happened(reading, instant(time))), floor.plan)
    assert outcome.plan is not None
    assert outcome.moved == ()
    assert outcome.left == ()


def test_an_item_is_cleaned_for_its_turnaround() -> None:
    floor = on_time("09:25")
    (cleaning,) = board_of(floor.reading(), instant("09:25")).cleaning
    assert (cleaning.item, cleaning.until) == ("head-1", instant("09:30"))
    assert board_of(floor.reading(), instant("09:30")).cleaning == ()
    floor.say("09:26", "clean", item="head-1")
    assert board_of(floor.reading(), instant("09:26")).cleaning == ()


def test_an_item_that_was_set_aside_stays_so() -> None:
    floor = on_time("09:25")
    floor.say("09:26", "set_aside", item="head-1")
    (cleaning,) = board_of(floor.reading(), instant("11:00")).cleaning
    assert cleaning.until is None


def test_hands_are_queued_by_time_and_clashes_are_said() -> None:
    floor = Floor()
    floor.begin("V1", "09:25")  # planned for 09:00, so that it meets the next visit of T1
    turns = board_of(floor.reading(), instant("09:26")).queues["T1"]
    assert [(turn.phase.visit, turn.phase.phase) for turn in turns[:4]] == [("V1", 0), ("V1", 1), ("V3", 0), ("V1", 2)]
    assert [turn.clashes for turn in turns[:4]] == [False, False, True, False]
    assert turns[0].phase.runs


def test_what_runs_stands_on_each_of_its_channels() -> None:
    floor = on_time("09:12")
    board = board_of(floor.reading(), instant("09:12"))
    assert board.running == {("U1", "u1"): ("V1", 0), ("U1", "s1"): ("V1", 0)}
    assert board.coming["U1", "s1"].visit == "V2"
    assert board.at_hand["U1"][0] == "V1"


def test_a_visit_whose_time_went_by_without_a_word_is_asked_about() -> None:
    board = board_of(Floor().reading(), instant("09:21"))
    assert board.lapsed == ("V1",)
    assert "V1" not in {phase.visit for phase in board.phases}


def test_watch_that_will_be_short_is_said_before() -> None:
    floor = Floor()
    for staff in ("T1", "A1"):
        floor.say("09:40", "away", staff=staff, reason="", minute=minute("11:00"))
    watch = board_of(floor.reading(), instant("09:41")).watch
    assert watch.running == 0
    assert watch.lowest < 0
    assert watch.lowest_at >= instant("09:41")


def test_the_reserve_is_foreseen() -> None:
    floor = on_time("10:10")
    floor.say("10:10", "paused", "V2", 0, reason="")
    later = board_of(floor.reading(), instant("11:58")).batteries["U1"]
    assert later is not None
    assert later.reserve_at is not None


def test_a_late_patient_comes_later() -> None:
    floor = on_time("09:10")
    floor.say("09:10", "expected", "V2", minute=minute("10:20"))
    reading = floor.reading()
    outcome = shifted(live_day(floor.day, floor.plan, happened(reading, instant("09:10"))), floor.plan)
    assert [(one.id, one.minutes) for one in outcome.moved] == [("V2", 20)]


def test_an_effect_is_made_once_a_minute(tmp_path: Path) -> None:
    store = store_in(tmp_path)
    room = LateRoom(store, FloorRoom(store, DayRoom(store)))
    reading = on_time("09:10").reading()
    first = room.effect(reading, instant("09:10"))
    assert room.effect(reading, instant("09:10:40")) is first
    assert room.effect(reading, instant("09:11")) is not first
    store.close()


def test_who_could_take_over_is_named() -> None:
    floor = on_time("10:02")
    floor.say("10:02", "away", staff="T1", reason="")
    (phase,) = abandoned(floor.reading(), instant("10:02"))
    assert (phase.visit, phase.phase, phase.hands, phase.could) == ("V2", 0, "T1", ())  # the other one is no therapist
    day = replace(floor.day, staff=(*floor.day.staff, replace(floor.day.staff[0], id="T2", name="Una Fen")))
    more = Floor(day, floor.plan)
    more.events = floor.events
    (phase,) = abandoned(more.reading(), instant("10:02"))
    assert phase.could == ("T2",)
