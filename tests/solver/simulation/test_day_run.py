"""What holds a visit up and for how long: each rule at its exact minute, worked out by hand."""

from dataclasses import replace

import pytest

from tests.builders import (
    a_break,
    a_break_taken,
    a_channel,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    at,
    hands_on,
    placed,
    still,
    unattended,
)
from tests.solver.simulation.runs import Run

BAYS = [a_place(bays=("F1", "F2", "F3"))]


def test_whoever_is_next_for_the_same_hands_waits_for_who_is_late() -> None:
    one, two = a_visit(a_part(hands_on(10)), id="V1"), a_visit(a_part(hands_on(10)), id="V2")
    day = a_day(one, two)
    plan = a_plan(day, placed(one, "09:00"), placed(two, "09:15", bay="F2"))
    run = Run(day, plan, late={"V1": 12})
    assert (run.starts("V1"), run.starts("V2")) == ([at("09:12")], [at("09:22")])
    assert run.held_by("V2") == ("hands", "T1", "V1")
    assert Run(day, plan, late={"V1": 12}, missed={"V1"}).starts("V2") == [at("09:15")]


def test_a_patient_later_than_the_limit_is_given_up_at_the_limit() -> None:
    one, two = a_visit(a_part(hands_on(10)), id="V1"), a_visit(a_part(hands_on(10)), id="V2")
    day = a_day(one, two)
    plan = a_plan(day, placed(one, "09:00"), placed(two, "09:10", bay="F2"))
    kept, gone = Run(day, plan, late={"V1": 15}, limit=15), Run(day, plan, late={"V1": 16}, limit=15)
    assert (kept.starts("V1"), kept.starts("V2")) == ([at("09:15")], [at("09:25")])
    assert (gone.starts("V1"), gone.starts("V2")) == ([None], [at("09:15")])
    assert gone.happened.missed == {0}


@pytest.mark.parametrize(
    ("differs", "rule", "resource"),
    [
        ({"bay": "F1"}, "bay", "F1"),
        ({"bay": "F2", "items": {"cup-sets": ["cup-sets-1"]}}, "applicator", "cup-sets-1"),
        ({"bay": "F2", "channels": {"cups": ["s1"]}}, "channels", "U1 s1"),
    ],
)
def test_a_resource_is_free_after_its_turnaround(differs: dict[str, object], rule: str, resource: str) -> None:
    part = a_part(hands_on(10, "anyone"), channels={"cups": 1}, applicators={"cup-sets": 1})
    one, two = a_visit(part, id="V1"), a_visit(part, id="V2")
    day = a_day(
        one,
        two,
        bay_turnover_min=7,
        applicators=[an_applicator("cup-sets", 2, turnaround_min=9)],
        staff=[a_therapist(), a_therapist("T2")],
    )
    second = {"bay": "F2", "channels": {"cups": ["s2"]}, "items": {"cup-sets": ["cup-sets-2"]}} | differs
    plan = a_plan(day, placed(one, "09:00", therapist=None), placed(two, "09:20", hands="T2", therapist=None, **second))  # type: ignore[arg-type]
    run = Run(day, plan, late={"V1": 15})
    gap = {"bay": 7, "applicator": 9, "channels": 0}[rule]
    assert run.starts("V2") == [at("09:25") + gap]
    assert run.held_by("V2") == (rule, resource, "V1")


def test_a_unit_is_wheeled_only_when_all_have_left_it() -> None:
    one, two = a_visit(a_part(hands_on(10)), id="V1"), a_visit(a_part(hands_on(10)), id="V2")
    day = a_day(
        one,
        two,
        move_min=6,
        units=[a_unit(places=("front", "back"))],
        places=[a_place(), a_place("back", ("B1",))],
        staff=[a_therapist(), a_therapist("T2")],
    )
    plan = a_plan(day, placed(one, "09:00"), placed(two, "09:16", place="back", bay="B1", hands="T2"))
    run = Run(day, plan, late={"V1": 1})
    assert run.starts("V2") == [at("09:17")]
    assert run.held_by("V2") == ("place", "U1", "V1")


def test_a_pump_has_one_level_at_a_time() -> None:
    one = a_visit(a_part(hands_on(10), channels={"cups": 1}, suction_kpa=20), id="V1")
    two = a_visit(a_part(hands_on(10), channels={"cups": 1}, suction_kpa=30), id="V2")
    day = a_day(one, two, staff=[a_therapist(), a_therapist("T2")])
    plan = a_plan(day, placed(one, "09:00"), placed(two, "09:10", bay="F2", hands="T2", channels={"cups": ["s2"]}))
    run = Run(day, plan, late={"V1": 5})
    assert run.starts("V2") == [at("09:15")]
    assert run.held_by("V2") == ("suction", "U1", "V1")


def test_room_is_kept_on_a_unit_for_who_is_late() -> None:
    # Two patients at once: V3 may join when either of the two before it has left.
    visits = [a_visit(a_part(hands_on(20)), id=f"V{i}") for i in (1, 2, 3)]
    channels = [a_channel(f"s{i}") for i in (1, 2, 3)]
    day = a_day(
        *visits,
        units=[a_unit(channels=channels, patients_at_once=2)],
        places=BAYS,
        staff=[a_therapist(f"T{i}") for i in (1, 2, 3)],
    )
    where = [{"bay": f"F{i}", "hands": f"T{i}", "channels": {"pads": [f"s{i}"]}} for i in (1, 2, 3)]
    starts = ["09:00", "09:05", "09:20"]
    plan = a_plan(day, *(placed(v, s, **w) for v, s, w in zip(visits, starts, where, strict=True)))  # type: ignore[arg-type]
    run = Run(day, plan, late={"V1": 30})
    assert run.starts("V3") == [at("09:25")]
    assert run.held_by("V3")[:2] == ("patients", "U1")


def test_an_unattended_part_ends_by_itself_and_the_next_phase_waits_for_its_hands() -> None:
    one = a_visit(a_part(hands_on(5), unattended(10), hands_on(5)), id="V1")
    two = a_visit(a_part(hands_on(8)), id="V2")
    day = a_day(one, two)
    plan = a_plan(day, placed(one, "09:00"), placed(two, "09:06", bay="F2", channels={"pads": ["s2"]}))
    run = Run(day, plan, longer={"V2": 4})
    assert run.starts("V2") == [at("09:06")]
    assert run.starts("V1") == [at("09:00"), at("09:05"), at("09:18")]


def test_a_break_keeps_its_length_and_its_place_in_the_order() -> None:
    one, two = a_visit(a_part(hands_on(30)), id="V1"), a_visit(a_part(hands_on(10)), id="V2")
    day = a_day(one, two, staff=[a_therapist(breaks=[a_break(15, "10:00-11:00")])])
    plan = a_plan(day, placed(one, "09:30"), placed(two, "10:15"), breaks=[a_break_taken("T1", "10:00", 15)])
    run = Run(day, plan, late={"V1": 7})
    assert (run.break_start(), run.starts("V2")) == (at("10:07"), [at("10:22")])
    assert run.held_by("V2") == ("hands", "T1", None)


def test_parts_do_not_begin_before_they_are_planned() -> None:
    visit = a_visit(a_part(hands_on(10)), a_part(hands_on(10)))
    day = a_day(visit)
    plan = a_plan(day, placed(visit, "09:00", "09:20"))
    assert Run(day, plan, late={"V1": 6}).starts("V1") == [at("09:06"), at("09:20")]
    assert Run(day, plan, late={"V1": 16}).starts("V1") == [at("09:16"), at("09:26")]


def _watched(watch_busy: int = 1) -> Run:
    one = a_visit(a_part(hands_on(5), unattended(10)), id="V1")
    two = a_visit(a_part(hands_on(5), unattended(10)), id="V2")
    day = a_day(one, two, staff=[a_therapist(watch_free=1, watch_busy=watch_busy)])
    plan = a_plan(day, placed(one, "09:00"), placed(two, "09:15", bay="F2", channels={"pads": ["s2"]}))
    return Run(day, plan, late={"V1": 8})


def test_an_unattended_phase_begins_when_it_can_be_watched() -> None:
    run = _watched()
    assert run.starts("V1") == [at("09:08"), at("09:13")]
    assert run.starts("V2") == [at("09:15"), at("09:23")]
    assert run.happened.short_minutes == 0


def test_watch_is_short_where_hands_get_busy_beside_a_running_part() -> None:
    # V1 runs from 09:13 to 09:23; from 09:15 to 09:20 the only one who watches it has busy hands.
    assert _watched(watch_busy=0).happened.short_minutes == 5


def test_with_no_watch_to_come_an_unattended_phase_begins_and_is_short() -> None:
    visit = a_visit(a_part(hands_on(5), unattended(10)))
    day = a_day(visit, staff=[a_therapist(hours="09:00-10:00")])
    plan = a_plan(day, placed(visit, "09:45"))
    run = Run(day, plan, late={"V1": 11})
    # They stay for their last hands-on phase, 09:56 to 10:01, and then leave.
    assert run.starts("V1") == [at("09:56"), at("10:01")]
    assert run.happened.short_minutes == 10


def test_a_phase_in_which_nothing_runs_needs_no_watch() -> None:
    visit = a_visit(a_part(hands_on(5), still(10)))
    day = a_day(visit, staff=[a_therapist(hours="09:00-10:00", watch_free=0)])
    plan = a_plan(day, placed(visit, "09:45"))
    run = Run(day, plan, late={"V1": 11})
    assert (run.starts("V1"), run.happened.short_minutes) == ([at("09:56"), at("10:01")], 0)


def test_two_visits_of_one_patient_follow_each_other() -> None:
    one = a_visit(a_part(hands_on(10)), id="V1", patient="Ann")
    two = replace(a_visit(a_part(hands_on(10)), id="V2", patient="Ann"))
    day = a_day(one, two, staff=[a_therapist(), a_therapist("T2")])
    plan = a_plan(day, placed(one, "09:00"), placed(two, "09:10", bay="F2", hands="T2", channels={"pads": ["s2"]}))
    run = Run(day, plan, longer={"V1": 3})
    assert run.starts("V2") == [at("09:13")]
    assert run.held_by("V2") == ("patient", "Ann", "V1")


def test_slack_moves_the_patient_and_spares_the_wait() -> None:
    one, two = a_visit(a_part(hands_on(10)), id="V1"), a_visit(a_part(hands_on(10)), id="V2")
    day = a_day(one, two)
    plan = a_plan(day, placed(one, "09:00"), placed(two, "09:10", bay="F2"))
    run = Run(day, plan, late={"V1": 12}, later={"V2": 10})
    task = run.layout.visits[1].tasks[0]
    assert (run.happened.ready[task], run.happened.begun[task]) == (at("09:20"), at("09:22"))
