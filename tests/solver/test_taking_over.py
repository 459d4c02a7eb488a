"""Two improve one plan in two zones of the day, and take over from each other."""

from dataclasses import replace

from solver.changes import Change, change
from solver.clock import DAY_MIN, Interval
from solver.compose import ledger_of, plan_of
from solver.improve import Improver
from solver.masks.offers import best_offer
from solver.problem import Day
from solver.schedule import Plan
from solver.scored import ScoredPlan
from solver.taking_over import take_over
from solver.verify import verify
from solver.visits import Fixed, FixedPart
from tests.builders import a_day, a_part, a_plan, a_therapist, a_visit, at, hands_on
from tests.solver.first_plans import planned

NOON = 12 * 60
STEPS = 400


def improved(day: Day, plan: Plan, zone: Interval) -> Improver:
    """Cool from the start: none of its steps makes the plan worse by much."""
    improver = Improver(ledger_of(day, plan), seed=1)
    improver.zone = zone
    for _ in range(STEPS):
        improver.step(0.9)
    return improver


def test_what_was_made_better_in_another_zone_is_taken_over() -> None:
    day, plan = planned("M", 2)
    early, late = (improved(day, plan, zone) for zone in (Interval(0, NOON), Interval(NOON, DAY_MIN)))
    start = Improver(ledger_of(day, plan), seed=1)
    early.plan.restore(early.best)
    early.scores, before = early.best_scores, early.best_scores
    gained = start.scores[2] - late.best_scores[2]
    assert gained > 0
    other = change(start.best, late.best)
    left = early.take_over(other)
    assert set(left.visits) < set(other.visits)
    assert early.best_scores < before
    found = plan_of(day, *early.best)
    assert verify(day, found) == []
    assert tuple(found.scores[aim] for aim in day.aims) == early.best_scores


def test_in_its_zone_nothing_is_taken_over_and_nobody_from_elsewhere_moves() -> None:
    day, plan = planned("M", 2)
    late = improved(day, plan, Interval(NOON, DAY_MIN))
    was = {placed.id: placed for placed in plan.visits}
    moved = [(was[id], placed) for id, placed in late.best.visits.items() if was[id] is not placed]
    assert moved
    assert all(was.parts[0].start >= NOON for was, _ in moved)
    again = Improver(ledger_of(day, plan), seed=2)
    again.zone = Interval(NOON, DAY_MIN)
    before = again.plan.snapshot()
    left = again.take_over(Change(late.best.visits, late.best.breaks))
    assert again.plan.snapshot() == before
    assert not left.visits


def test_a_worse_plan_is_not_taken_over() -> None:
    day, plan = planned("M", 1)
    better = improved(day, plan, Interval(0, DAY_MIN))
    better.plan.restore(better.best)
    better.scores = better.best_scores
    better.zone = Interval(0, 0)
    before = better.plan.snapshot()
    other = change(better.best, Improver(ledger_of(day, plan), seed=1).best)
    left = better.take_over(other)
    assert better.plan.snapshot() == before
    assert set(left.visits) == {id for id, placed in other.visits.items() if placed != before.visits[id]}


def test_who_is_badly_placed_in_a_zone_can_leave_it() -> None:
    """Their wish may be in another zone: whoever works there does not take them out."""
    part = a_part(hands_on(30))
    day = a_day(a_visit(part, id="V1", wish="11:00"), staff=[a_therapist()])
    ledger = ledger_of(day, a_plan(day))
    found = best_offer(ledger, day.visits[0], within=1 << at("09:00"))
    assert found is not None
    ledger.add(found)
    improver = Improver(ledger, seed=1)
    improver.zone = Interval(0, at("10:00"))
    for _ in range(20):
        improver.step(0.5)
    assert improver.best.visits["V1"].parts[0].start == at("11:00")


def test_a_fixed_visit_is_not_given_up_for_a_better_score() -> None:
    """Where the other plan is wrong, in which both have the only therapist at ten."""
    part = a_part(hands_on(30))
    fixed = Fixed(parts=(FixedPart(start=at("10:00")),))
    free, held = a_visit(part, id="V1", wish="10:00"), a_visit(part, id="V2", fixed=fixed)
    day = a_day(free, held, staff=[a_therapist()], aims=["wish"])
    ledger = ledger_of(day, a_plan(day))
    for visit in (held, free):
        placed = best_offer(ledger, visit)
        assert placed is not None
        ledger.add(placed)
    plan = ScoredPlan(ledger)
    before = plan.snapshot()
    at_ten = replace(before.visits["V1"], parts=(replace(before.visits["V1"].parts[0], start=at("10:00")),))
    other = Change({"V1": at_ten, "V2": before.visits["V2"]}, {})
    assert take_over(plan, other) == other
    assert plan.snapshot() == before
