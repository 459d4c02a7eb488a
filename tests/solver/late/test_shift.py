"""A day that runs late, shifted to the right and repaired."""

import random
from collections.abc import Mapping
from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.clock import Interval
from solver.compose import plan_of
from solver.construct import construct
from solver.errors import InputError
from solver.late import Happened, LiveDay, Outcome, Ran, for_repair, live_day, outcome_of, shifted
from solver.problem import Day
from solver.schedule import PlacedBreak, Plan
from solver.search import solve
from solver.verify import verify
from tests.bench.happenings import chance, longer, on_time
from tests.builders import (
    a_break,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    an_assistant,
    at,
    hands_on,
    placed,
    placed_part,
    set_up,
    unattended,
)
from tests.solver.first_plans import planned

PADS = a_part(set_up(5), unattended(10), set_up(5))


def moved(outcome: Outcome) -> Mapping[str, int]:
    assert outcome.plan is not None, outcome
    return {one.id: one.minutes for one in outcome.moved}


def shift(day: Day, plan: Plan, happened: Happened) -> Outcome:
    return shifted(live_day(day, plan, happened), plan)


def two_in_a_row() -> tuple[Day, Plan]:
    """Two visits in the same bay, on the same channel and by the same hands, one right after the other."""
    first, second = a_visit(PADS, id="V1"), a_visit(PADS, id="V2")
    day = a_day(first, second, places=(a_place("front", ("F1",)),), step_min=5)
    return day, a_plan(day, placed(first, "09:00"), placed(second, "09:20"))


def test_nothing_moves_where_nothing_is_late() -> None:
    day, plan = two_in_a_row()
    assert moved(shift(day, plan, on_time(day, plan, at("09:10")))) == {}


def test_a_part_that_runs_over_pushes_the_next_by_whole_steps() -> None:
    day, plan = two_in_a_row()
    happened = on_time(day, plan, at("09:12"))
    assert moved(shift(day, plan, longer(happened, ("V1", 0), 3))) == {"V2": 5}
    assert moved(shift(day, plan, longer(happened, ("V1", 0), 6))) == {"V2": 10}


def test_a_start_off_the_grid_keeps_its_true_end() -> None:
    day, plan = two_in_a_row()
    ran = {("V1", 0): Ran(start=at("09:03"), phases=(5, 10, 5), phase=1, over=False)}
    live = live_day(day, plan, Happened(now=at("09:10"), ran=ran))
    (where,) = live.started["V1"].parts
    assert where.start + live.day.visit_by_id["V1"].parts[0].minutes == at("09:23")
    assert where.start == at("09:05")
    assert moved(shifted(live, plan)) == {"V2": 5}


def test_a_late_patient_begins_when_they_are_expected() -> None:
    day, plan = two_in_a_row()
    happened = replace(on_time(day, plan, at("09:05")), not_before={"V2": at("09:37")})
    assert moved(shift(day, plan, happened)) == {"V2": 20}


def test_who_did_not_come_makes_no_room_before_their_time() -> None:
    day, plan = two_in_a_row()
    happened = Happened(now=at("09:02"), over=frozenset({"V1"}))
    assert moved(shift(day, plan, happened)) == {}


def test_ending_early_pulls_nobody_forward() -> None:
    day, plan = two_in_a_row()
    ran = {("V1", 0): Ran(start=at("09:00"), phases=(5, 3), phase=1, over=True)}
    happened = Happened(now=at("09:10"), ran=ran, over=frozenset({"V1"}))
    assert moved(shift(day, plan, happened)) == {}


def test_a_unit_that_fails_moves_its_visits() -> None:
    visit = a_visit(PADS, id="V1")
    day = a_day(visit, units=(a_unit("U1"), a_unit("U2")), step_min=5)
    plan = a_plan(day, placed(visit, "09:30"))
    outcome = shift(day, plan, Happened(now=at("09:10"), gone={"U1": Interval(at("09:10"), day.close)}))
    assert moved(outcome) == {"V1": 0}
    assert outcome.moved[0].elsewhere


def test_a_unit_that_fails_while_it_runs_is_for_people_to_decide() -> None:
    day, plan = two_in_a_row()
    happened = replace(on_time(day, plan, at("09:10")), gone={"U1": Interval(at("09:10"), day.close)})
    outcome = shift(day, plan, happened)
    assert outcome.plan is None
    assert [one.rule for one in outcome.broken] == ["hours"]


def test_a_therapist_who_is_away_from_a_phase_is_for_people_to_decide() -> None:
    day, plan = two_in_a_row()
    happened = replace(on_time(day, plan, at("09:03")), away={"T1": Interval(at("09:02"), at("10:00"))})
    outcome = shift(day, plan, happened)
    assert outcome.plan is None
    assert "hands" in {one.rule for one in outcome.broken}


def test_a_phase_that_was_taken_over_is_in_other_hands() -> None:
    visit = a_visit(PADS, id="V1")
    day = a_day(visit, staff=(a_therapist("T1"), a_therapist("T2")), step_min=5)
    plan = a_plan(day, placed(visit, "09:00"))
    ran = {("V1", 0): Ran(start=at("09:00"), phases=(5, 10, 5), phase=1, over=False, hands={2: "T2"})}
    happened = Happened(now=at("09:10"), ran=ran, away={"T1": Interval(at("09:10"), day.close)})
    outcome = shift(day, plan, happened)
    assert outcome.plan is not None
    assert outcome.plan.visits[0].parts[0].hands == ("T1", None, "T2")
    assert outcome.plan.visits[0].therapist == "T2"


def heads() -> tuple[Day, Plan]:
    """One sound head for two visits, ten minutes of cleaning between them."""
    part = a_part(hands_on(10), channels={"ultrasound": 1}, applicators={"heads": 1})
    first, second = a_visit(part, id="V1"), a_visit(part, id="V2")
    pool = an_applicator("heads", ("heads-1",), turnaround_min=10)
    day = a_day(first, second, applicators=(pool,), step_min=5)
    return day, a_plan(day, placed(first, "09:00"), placed(second, "09:20"))


def test_cleaning_is_waited_for_unless_it_is_done() -> None:
    day, plan = heads()
    happened = on_time(day, plan, at("09:14"))
    late = replace(happened, ran={("V1", 0): Ran(start=at("09:00"), phases=(14,), phase=0, over=True)})
    assert moved(shift(day, plan, late)) == {"V2": 5}
    assert moved(shift(day, plan, replace(late, clean=frozenset({"heads-1"})))) == {}


def test_an_item_that_is_set_aside_leaves_its_visits_without_one() -> None:
    day, plan = heads()
    outcome = shift(day, plan, replace(on_time(day, plan, at("09:14")), aside=frozenset({"heads-1"})))
    assert [one.id for one in outcome.left] == ["V2"]
    assert outcome.left[0].reasons


def test_too_little_watch_now_is_for_people_to_decide() -> None:
    """One of the two is at a break and the other is called away, while a part runs that somebody must watch."""
    visit = a_visit(PADS, id="V1")
    staff = (
        a_therapist("T1", breaks=(a_break(15, "09:05-09:20"),), watch_free=1),
        a_therapist("T2", watch_free=1),
    )
    day = a_day(visit, staff=staff, step_min=5)
    where = placed(visit, placed_part(visit.parts[0], "09:00", hands="T2"), therapist="T2")
    plan = a_plan(day, where, breaks=(PlacedBreak(staff="T1", start=at("09:05"), end=at("09:20")),))
    assert verify(day, plan) == []
    happened = on_time(day, plan, at("09:08"))
    assert shift(day, plan, happened).plan is not None
    outcome = shift(day, plan, replace(happened, away={"T2": Interval(at("09:07"), at("09:14"))}))
    assert outcome.plan is None
    assert "watch" in {one.rule for one in outcome.broken}


def test_what_broke_a_rule_and_is_over_does_not_stand_in_the_way() -> None:
    day, plan = heads()
    ran = {
        ("V1", 0): Ran(start=at("09:00"), phases=(10,), phase=0, over=True),
        ("V2", 0): Ran(start=at("09:15"), phases=(10,), phase=0, over=False),  # the head was cleaned for 5 minutes only
    }
    live = live_day(day, plan, Happened(now=at("09:17"), ran=ran, over=frozenset({"V1"})))
    assert live.unsaid == ("V1",)
    assert live.broken == ()
    assert shifted(live, plan).plan is not None


def test_a_break_that_was_begun_stays_and_another_one_moves() -> None:
    visit = a_visit(PADS, id="V1")
    member = a_therapist("T1", breaks=(a_break(15, "09:00-11:00"),), watch_free=1)
    day = a_day(visit, staff=(member, an_assistant("A1", watch_free=1)), step_min=5)
    plan = replace(a_plan(day, placed(visit, "09:00")), breaks=())
    ledger = construct(day)
    assert ledger is not None
    plan = plan_of(day, ledger.visits, ledger.breaks)
    for now in range(day.open, day.close, 7):
        outcome = shift(day, plan, on_time(day, plan, now))
        assert outcome.plan is not None
        assert outcome.plan.breaks == plan.breaks


def test_the_next_part_of_a_visit_waits_for_its_time() -> None:
    visit = a_visit(a_part(hands_on(10)), a_part(hands_on(10), max_wait_min=30), id="V1")
    day = a_day(visit, step_min=5)
    plan = a_plan(day, placed(visit, placed_part(visit.parts[0], "09:00"), placed_part(visit.parts[1], "09:20")))
    ran = {("V1", 0): Ran(start=at("09:00"), phases=(16,), phase=0, over=False)}
    assert moved(shift(day, plan, Happened(now=at("09:12"), ran=ran))) == {}
    ran = {("V1", 0): Ran(start=at("09:00"), phases=(24,), phase=0, over=False)}
    assert moved(shift(day, plan, Happened(now=at("09:12"), ran=ran))) == {"V1": 5}


def test_a_wait_that_is_too_long_already_is_said() -> None:
    visit = a_visit(a_part(hands_on(10)), a_part(hands_on(10), max_wait_min=10), id="V1")
    day = a_day(visit, step_min=5)
    plan = a_plan(day, placed(visit, placed_part(visit.parts[0], "09:00"), placed_part(visit.parts[1], "09:15")))
    ran = {("V1", 0): Ran(start=at("09:00"), phases=(10,), phase=0, over=True)}
    assert live_day(day, plan, Happened(now=at("09:20"), ran=ran)).late == ()
    live = live_day(day, plan, Happened(now=at("09:21"), ran=ran))
    assert live.late == ("V1",)
    assert moved(shifted(live, plan)) == {"V1": 10}


@pytest.mark.parametrize("late", range(0, 40, 3))
def test_the_delay_is_the_least_there_is(late: int) -> None:
    """Against trying every pair of starts of the two visits that are still to come, in their order."""
    visits = [a_visit(PADS, id=f"V{n}") for n in (1, 2, 3)]
    staff = (a_therapist("T1", watch_free=1, watch_busy=1), an_assistant("A1", watch_free=1))
    day = a_day(*visits, staff=staff, step_min=5)
    starts = ("09:00", "09:05", "09:30")
    bays = ("F1", "F2", "F1")
    channels = ("s1", "s2", "s1")
    plan = a_plan(
        day,
        *(
            placed(visit, placed_part(visit.parts[0], start, bay=bay, channels={"pads": [channel]}))
            for visit, start, bay, channel in zip(visits, starts, bays, channels, strict=True)
        ),
    )
    assert verify(day, plan) == []
    happened = longer(on_time(day, plan, at("09:05")), ("V1", 0), late)
    live = live_day(day, plan, happened)
    outcome = shifted(live, plan)
    assert outcome.plan is not None
    now = {one.id: one.parts[0].start for one in outcome.plan.visits}
    first = {one.id: one for one in outcome.plan.visits}
    grid = range(at("09:05"), at("11:40"), 5)
    best: tuple[int, int] | None = None
    for second, third in product(grid, grid):
        if second < at("09:05") or third < at("09:30") or (best is not None and (second, third) >= best):
            continue
        moved_there = [
            first["V1"],
            replace(first["V2"], parts=(replace(first["V2"].parts[0], start=second),)),
            replace(first["V3"], parts=(replace(first["V3"].parts[0], start=third),)),
        ]
        tried = plan_of(live.day, {one.id: one for one in moved_there}, {})
        if verify(live.day, tried) == []:
            best = (second, third)
    assert (now["V2"], now["V3"]) == best


def check(live: LiveDay, outcome: Outcome) -> None:
    """A plan that keeps every rule and moves nobody who was started; or something that says why there is none."""
    if outcome.plan is None:
        assert outcome.broken or outcome.left
        return
    assert verify(live.day, outcome.plan) == []
    where = {one.id: one for one in outcome.plan.visits}
    for id, started in live.started.items():
        for was, now in zip(started.parts, where[id].parts, strict=False):
            assert (was.start, was.unit, was.bay, was.channels) == (now.start, now.unit, now.bay, now.channels)
    for one in outcome.plan.visits:
        if one.id in live.waiting:
            assert one.parts[0].start >= live.now


DAYS = [("S", 0), ("S", 4), ("M", 1), ("M", 3)]


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from([("S", 0), ("S", 4), ("M", 1), ("M", 3)]), st.integers(0, 600), st.randoms(use_true_random=False)
)
def test_whatever_happens_the_outcome_is_right_or_says_why_not(
    which: tuple[str, int], after: int, pick: random.Random
) -> None:
    day, plan = planned(*which)
    live = live_day(day, plan, chance(day, plan, day.open + after % (day.close - day.open), pick))
    check(live, shifted(live, plan))


@pytest.mark.parametrize(
    ("ran", "says"),
    [
        ({"start": -1, "phases": (5,), "phase": 0}, "start"),
        ({"start": 540, "phases": (5, -2), "phase": 0}, r"phases\[1\]"),
        ({"start": 540, "phases": (5,), "phase": 1}, "there is no phase 1"),
    ],
)
def test_what_cannot_have_happened_is_refused(ran: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError, match=says):
        Ran(over=False, **ran)


def test_a_repair_moves_less_than_the_shift() -> None:
    day, plan = planned("S", 3)
    happened = on_time(day, plan, day.open + 80)
    running = next(key for key, ran in happened.ran.items() if not ran.over)
    live = live_day(day, plan, longer(happened, running, 12))
    assert live.broken == ()
    plain = shifted(live, plan)
    repaired = outcome_of(live, solve(for_repair(live, day.published_by_id), seconds=3, workers=1))
    check(live, repaired)
    assert repaired.rank[:2] <= plain.rank[:2]
