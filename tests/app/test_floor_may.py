"""What may be pressed on the Floor, and what stands in the way."""

from typing import Any

import pytest

from app.services.floor.may import fault_of_part, fault_of_undo, fault_of_visit
from solver.problem import Day
from tests.app.floor_days import DECIDED, Floor, instant
from tests.builders import (
    a_channel,
    a_day,
    a_part,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    hands_on,
    placed,
    placed_part,
)


def refused(floor: Floor, kind: str, visit: str, part: int = 0, at: str = "09:30", **detail: Any) -> str:
    """Where the fault is; empty where there is none."""
    fault = fault_of_part(floor.reading(), kind, visit, part, detail, instant(at))
    return "" if fault is None else f"{fault.where}: {fault.what}"


def ready(visit: str, floor: Floor | None = None) -> Floor:
    floor = floor or Floor()
    floor.say("08:55", "arrived", visit)
    floor.say("08:56", "decided", visit, **DECIDED)
    return floor


def test_a_part_starts_once_its_patient_is_there_and_a_clinician_decided() -> None:
    assert refused(ready("V1"), "started", "V1") == ""


def test_no_start_without_the_patient() -> None:
    assert "has not arrived" in refused(Floor(), "started", "V1")


def test_no_start_without_a_decision() -> None:
    floor = Floor()
    floor.say("08:55", "arrived", "V1")
    assert refused(floor, "started", "V1") == "decision: no clinician has decided"


def test_not_now_is_a_decision_and_no_start() -> None:
    floor = ready("V1")
    floor.say("08:57", "decided", "V1", **{**DECIDED, "decision": "not_now"})
    assert "Tess Ray decided: not now" in refused(floor, "started", "V1")
    floor.say("08:58", "decided", "V1", **DECIDED)
    assert refused(floor, "started", "V1") == ""


def test_parts_start_in_their_order() -> None:
    assert refused(ready("V3"), "started", "V3", 1).startswith("part: it is not the next one")


def test_no_start_on_a_unit_that_is_out() -> None:
    floor = ready("V1")
    floor.say("08:57", "out_of_service", unit="U1", reason="smoke")
    assert refused(floor, "started", "V1") == "unit: Rowan is out of service"


def test_no_start_with_an_item_that_is_set_aside() -> None:
    floor = ready("V1")
    floor.say("08:57", "set_aside", item="head-1")
    assert refused(floor, "started", "V1") == "item: head-1 is set aside"


def test_no_start_on_a_channel_that_runs_for_somebody_else() -> None:
    floor = ready("V2", ready("V1"))
    floor.say("09:00", "started", "V1", 0)  # on u1 and s1 of the same unit
    assert refused(floor, "started", "V2") == "channel: s1 still runs for Ann Early"
    floor.say("09:20", "ended", "V1", 0, reason="")
    assert refused(floor, "started", "V2") == ""


def test_what_was_not_started_cannot_go_on() -> None:
    for kind in ("phase", "paused", "resumed", "ended", "stopped", "set"):
        assert refused(ready("V1"), kind, "V1", phase=1) == "part: it was not started"


def test_a_phase_follows_the_one_before() -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    assert refused(floor, "phase", "V1", phase=2) == "phase: it is not the next one"
    assert refused(floor, "phase", "V1", phase=1) == ""


def test_a_paused_part_goes_on_before_anything_else() -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    floor.say("09:01", "paused", "V1", 0, reason="")
    assert refused(floor, "phase", "V1", phase=1) == "part: it is paused"
    assert refused(floor, "paused", "V1") == "part: it is paused already"
    assert refused(floor, "resumed", "V1") == ""


def test_ending_early_needs_a_reason() -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    assert refused(floor, "ended", "V1", at="09:10") == "reason: it ends before its time"
    assert refused(floor, "ended", "V1", at="09:10", reason="enough") == ""
    floor.say("09:05", "phase", "V1", 0, phase=1)
    floor.say("09:15", "phase", "V1", 0, phase=2)
    assert refused(floor, "ended", "V1", at="09:19:30") == ""


@pytest.mark.parametrize(
    ("staff", "phase", "says"),
    [
        ("A1", 0, "staff: Ali Bo is no therapist"),
        ("T1", 9, "phase: the part has no such phase"),
        ("T1", 0, ""),
    ],
)
def test_a_phase_is_taken_over_by_somebody_who_may(staff: str, phase: int, says: str) -> None:
    assert refused(ready("V1"), "taken_over", "V1", staff=staff, phase=phase) == says


def test_nobody_takes_over_what_needs_no_hands() -> None:
    assert refused(ready("V2"), "taken_over", "V2", staff="T1", phase=1) == "phase: it needs nobody’s hands"


def test_who_is_away_takes_nothing_over() -> None:
    floor = ready("V1")
    floor.say("08:57", "away", staff="T1", reason="")
    assert refused(floor, "taken_over", "V1", staff="T1", phase=0) == "staff: Tess Ray is away"


def test_a_visit_that_is_over_takes_no_more_presses() -> None:
    floor = Floor()
    floor.run("V1", ["09:00", "09:05", "09:15", "09:20"])
    fault = fault_of_visit(floor.reading(), "decided", "V1")
    assert fault is not None
    assert fault.what == "nothing more is to come of it"


def test_only_what_was_given_is_signed() -> None:
    floor = Floor()
    assert fault_of_visit(floor.reading(), "signed", "V1") is not None
    floor.begin("V1", "09:00")
    running = fault_of_visit(floor.reading(), "signed", "V1")
    assert running is not None
    assert running.what == "a part of it still runs"
    floor.say("09:20", "ended", "V1", 0, reason="x")
    assert fault_of_visit(floor.reading(), "signed", "V1") is None


def two_at_once(day: Day, *items: dict[str, list[str]]) -> Floor:
    """Both visits of the day at 09:00 on channels of their own of one unit; the first runs, the second is ready."""
    plan = a_plan(
        day,
        *(
            placed(visit, placed_part(visit.parts[0], "09:00", channels={"pads": [channel]}, items=held))
            for visit, channel, held in zip(day.visits, ("s1", "s2"), items, strict=True)
        ),
    )
    floor = Floor(day, plan)
    floor.begin("V1", "09:00")
    return ready("V2", floor)


def a_day_of_two(first: int | None = None, second: int | None = None, skill: str | None = None) -> Day:
    """Two visits on one unit with two channels, with a suction each where one is given."""
    return a_day(
        a_visit(a_part(hands_on(10), suction_kpa=first), id="V1", patient="Ann Early"),
        a_visit(
            a_part(hands_on(10), suction_kpa=second, skill=skill), id="V2", patient="Bea Later", therapist_must="T1"
        ),
        units=(a_unit("U1", channels=(a_channel("s1"), a_channel("s2"))),),
        staff=(
            a_therapist("T1", name="Tess Ray", skills=("lymph",)),
            a_therapist("T2", name="Una Day", skills=("lymph",), hours="14:00-18:00"),
            a_therapist("T3", name="Vic Low"),
        ),
        applicators=(an_applicator("heads", ("head-1",)),),
    )


def test_no_start_with_an_item_that_somebody_else_has() -> None:
    floor = two_at_once(a_day_of_two(), {"heads": ["head-1"]}, {"heads": ["head-1"]})
    assert refused(floor, "started", "V2", at="09:05") == "item: head-1 is in use for Ann Early"


@pytest.mark.parametrize(
    ("first", "second", "says"),
    [
        (10, 20, "suction: the pump is set to 10 kPa for Ann Early"),
        (10, 10, ""),
        (10, None, ""),
        (None, 20, ""),
    ],
)
def test_one_pump_has_one_level(first: int | None, second: int | None, says: str) -> None:
    assert refused(two_at_once(a_day_of_two(first, second), {}, {}), "started", "V2", at="09:05") == says


def test_taking_over_needs_the_skill_the_right_therapist_and_the_hours() -> None:
    floor = two_at_once(a_day_of_two(skill="lymph"), {}, {})
    says = [refused(floor, "taken_over", "V2", staff=staff, phase=0) for staff in ("T3", "T2", "T1")]
    assert says == [
        "staff: Vic Low has not the skill lymph",
        "staff: the visit must be by another therapist",
        "",
    ]
    assert refused(floor, "taken_over", "V1", staff="T2", phase=0) == "staff: Una Day does not work at 09:00"


def test_what_is_over_is_not_taken_over() -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    floor.say("09:05", "phase", "V1", 0, phase=1)
    assert refused(floor, "taken_over", "V1", staff="T1", phase=0) == "phase: it is over"
    assert refused(floor, "taken_over", "V1", staff="T1", phase=1) == ""
    floor.say("09:15", "ended", "V1", 0, reason="enough")
    assert refused(floor, "taken_over", "V1", staff="T1", phase=1) == "phase: it is over"


@pytest.mark.parametrize("kind", ["ended", "stopped"])
def test_an_end_is_not_taken_back_once_its_channel_runs_for_somebody_else(kind: str) -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    over = floor.say("09:20", kind, "V1", 0, reason="enough")
    assert fault_of_undo(floor.reading(), over) is None
    floor.begin("V2", "09:21")
    fault = fault_of_undo(floor.reading(), over)
    assert fault is not None
    assert (fault.where, fault.what) == ("channel", "s1 still runs for Bea Later")
    floor.say("09:30", "ended", "V2", 0, reason="enough")
    assert fault_of_undo(floor.reading(), over) is None
