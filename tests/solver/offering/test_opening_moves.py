"""The smallest set of moves that lets a visit in: against trying every placing of everybody on small days."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import HealthCheck, assume, event, given, settings
from hypothesis import strategies as st

from solver.clock import Interval
from solver.opening_moves import OpeningMoves, opening_moves
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.verify import verify
from solver.visits import Visit
from tests.builders import a_day, a_plan, a_therapist, a_visit, fixed, fixed_part, placed
from tests.solver.offering.joint_trial import Chosen, JointTrial
from tests.solver.offering.test_offers import a_first_plan
from tests.solver.small_days import FEATURES, small_days

SECONDS = 60.0


def fewest_by_trying(day: Day, plan: Plan, visit: Visit, most: int) -> tuple[int, int] | None:
    """How many visits must move, and by how many minutes in all."""
    whole = replace(day, visits=(*day.visits, visit))
    before = {placed.id: placed for placed in plan.visits}
    told = {placed.id for placed in day.published}
    movable = [id for id in before if day.visit_by_id[id].fixed is None and id not in told]

    def minutes(chosen: Chosen) -> tuple[int, ...]:
        pairs = ((now, before[now.id]) for now in chosen if now.id in before)
        return (sum(abs(now.parts[0].start - was.parts[0].start) for now, was in pairs),)

    for count in range(most + 1):
        found = []
        for ids in combinations(movable, count):
            rest = replace(plan, visits=tuple(placed for placed in plan.visits if placed.id not in ids))
            trial = JointTrial(whole, rest, [visit, *(day.visit_by_id[id] for id in ids)])
            assume(trial.small())
            found += [least for (least,) in trial.least(lambda _: "any", minutes).values()]
        if found:
            return count, min(found)
    return None


def another(data: st.DataObject, day: Day) -> Visit:
    """A further visit that may come in a part of the day only, so that others are often in its way."""
    like = data.draw(st.sampled_from(day.visits))
    start = day.open + day.step_min * data.draw(st.integers(0, 4))
    free = Interval(start, min(day.close, start + like.minutes + data.draw(st.sampled_from((5, 15)))))
    return replace(like, id="N", patient="new", fixed=None, free=(free,))


def judge(answer: OpeningMoves, plan: Plan, visit: Visit) -> None:
    """That the plan in the answer is right, and differs from the old one by the visit and the moves alone."""
    assert answer.plan is not None
    assert verify(answer.day, answer.plan) == []
    after = {placed.id: placed for placed in answer.plan.visits}
    assert after.pop(visit.id) == answer.placed
    before: dict[str, PlacedVisit] = {placed.id: placed for placed in plan.visits}
    assert {id for id in before if before[id] != after[id]} == {move.id for move in answer.moves}
    assert after.keys() == before.keys()
    assert answer.plan.breaks == plan.breaks
    for move in answer.moves:
        assert move.before.start == before[move.id].parts[0].start
        assert move.after.start == after[move.id].parts[0].start == move.before.start + move.minutes


@pytest.mark.parametrize("focus", FEATURES)
@settings(max_examples=4, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_no_smaller_set_of_moves_is_found_by_trying(focus: str, data: st.DataObject) -> None:
    day = data.draw(small_days(focus))
    assume(len(day.visits) <= 3)
    plan = a_first_plan(day)
    if plan is None:
        return
    visit = another(data, day)
    most = 1 if len(day.visits) > 2 else 2
    answer = opening_moves(day, plan, visit, most=most, seconds=SECONDS)
    assert answer.complete
    wanted = fewest_by_trying(day, plan, visit, most)
    event("none" if wanted is None else f"{wanted[0]} moves")
    if wanted is None:
        assert answer.placed is None
        assert answer.plan is None
    else:
        assert (len(answer.moves), answer.minutes) == wanted
        judge(answer, plan, visit)


def crowded() -> tuple[Day, Plan, Visit]:
    """Half an hour in which one therapist has two visits one after the other, and a third may come at 09:10 only."""
    early, late = a_visit(id="early"), a_visit(id="late")
    day = a_day(early, late, close="09:30", step_min=10, staff=[a_therapist(hours="09:00-09:30")])
    plan = a_plan(day, placed(early, "09:00"), placed(late, "09:10"))
    return day, plan, a_visit(id="new", free="09:10-09:20")


def test_the_one_in_the_way_moves_as_little_as_it_can() -> None:
    day, plan, visit = crowded()
    answer = opening_moves(day, plan, visit)
    assert [(move.id, move.minutes) for move in answer.moves] == [("late", 10)]
    judge(answer, plan, visit)


def test_who_was_told_and_who_is_fixed_stays_unless_named() -> None:
    day, plan, visit = crowded()
    late = plan.visits[1]
    told = replace(day, published=(late,))
    kept = replace(
        day,
        visits=tuple(
            replace(each, fixed=fixed(fixed_part("09:10"))) if each.id == "late" else each for each in day.visits
        ),
    )
    for stays in (told, kept):
        answer = opening_moves(stays, plan, visit)
        assert answer.placed is None
        assert answer.complete
    named = opening_moves(told, replace(plan, scores={**plan.scores, "stable": 0}), visit, may_move=["late"])
    assert [move.id for move in named.moves] == ["late"]


def test_two_move_where_one_is_not_enough() -> None:
    """The new visit needs 09:10 to 09:30, in which there are two others; there is room for them after it."""
    one, two = a_visit(id="one"), a_visit(id="two")
    day = a_day(one, two, close="10:00", step_min=10)
    plan = a_plan(day, placed(one, "09:10"), placed(two, "09:20"))
    visit = a_visit(
        *[replace(each, id=f"q{n}", max_wait_min=0) for n, each in enumerate(one.parts * 2)],
        id="new",
        free="09:10-09:30",
    )
    answer = opening_moves(day, plan, visit)
    assert answer.complete
    assert {move.id: move.minutes for move in answer.moves} == {"one": -10, "two": 10}
    judge(answer, plan, visit)


def test_a_search_without_time_says_that_it_is_not_complete() -> None:
    day, plan, visit = crowded()
    answer = opening_moves(day, plan, visit, seconds=0.0)
    assert not answer.complete
