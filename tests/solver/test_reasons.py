"""Why a visit is left out is true: set aside, the rules named let it in; and nothing less does."""

from dataclasses import replace

from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.search import solve
from solver.verify import verify
from tests.builders import a_channel, a_day, a_part, a_place, a_therapist, a_unit, a_visit, hands_on, unattended
from tests.solver.every_choice import part_placings, visit_placings
from tests.solver.small_days import FEATURES, small_days

TRIED_ALL = {"patients", "bay", "suction", "watch", "place", "battery"}
"""Rules for which the tried placements leave nothing out: on the grid, in opening hours, with as much as is asked."""
TRIED = TRIED_ALL | {"channels", "applicator"}
"""Rules that they try to break, if not in every way: never with fewer channels or items than a part needs."""


def broken_with(day: Day, plan: Plan, placed: PlacedVisit) -> frozenset[str]:
    left = tuple(left for left in plan.left_out if left.id != placed.id)
    found = verify(day, replace(plan, visits=(*plan.visits, placed), left_out=left))
    return frozenset(breach.rule for breach in found) - {"scores", "status"}


@settings(max_examples=110, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days))
def test_each_reason_names_all_that_is_in_the_way_of_some_placement(day: Day) -> None:
    plan = solve(day, seconds=20, workers=1)
    for left in plan.left_out:
        visit = day.visit_by_id[left.id]
        placings = [list(part_placings(day, part)) for part in visit.parts]
        in_the_way = {broken_with(day, plan, placed) for placed in visit_placings(visit, placings)}
        rules = {reason.rule for reason in left.reasons}
        together = any("together with" in reason.text for reason in left.reasons)
        event(f"{'together' if together else 'alone'}: {sorted(rules)}")
        if frozenset() in in_the_way:
            assert "an aim that this day puts first" in left.reasons[0].text
        elif not together:
            assert all(frozenset([rule]) in in_the_way for rule in rules & TRIED_ALL)
            alone = {rule for broken in in_the_way if len(broken) == 1 for rule in broken}
            assert alone & TRIED <= rules


def test_rules_in_the_way_together_say_so() -> None:
    """V2's only minutes are taken twice over: the one channel, and the one therapist, are with V1."""
    day = a_day(
        a_visit(a_part(hands_on(20)), id="V1", priority=5, free="09:00-09:20"),
        a_visit(a_part(hands_on(5), unattended(10)), id="V2", free="09:00-09:15"),
        units=[a_unit(channels=[a_channel("s1", "pads")], patients_at_once=2)],
        places=[a_place("front", bays=["F1", "F2"])],
        staff=[a_therapist("T1", watch_free=1, watch_busy=1)],
        close="09:20",
    )
    (left,) = solve(day, workers=1).left_out
    by_rule = {reason.rule: reason.text for reason in left.reasons}
    assert set(by_rule) == {"channels", "hands"}
    assert "together with hands" in by_rule["channels"]
    assert "together with channels" in by_rule["hands"]
