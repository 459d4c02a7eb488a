"""What the exact search answers where it is asked for some plans only."""

from collections.abc import Collection

import pytest

from solver.columns.bound import Body
from solver.exact.solving import Limits
from solver.exact.stages import Stages, Within
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from tests.builders import a_day, a_part, a_plan, a_visit, hands_on, placed


def two_who_want_ten() -> Day:
    """One patient at once, 20 minutes each: 20 minutes from wish are the least."""
    return a_day(*(a_visit(a_part(hands_on(20)), id=id, wish="10:00") for id in ("V1", "V2")), step_min=5)


def searched(within: Within) -> tuple[list[int], list[int]]:
    """The wishes of the plans found, and the bounds told, when the best plan known is 60 minutes from wish."""
    day = two_who_want_ten()
    best = a_plan(day, *(placed(visit, at) for visit, at in zip(day.visits, ("10:00", "11:00"), strict=True)))
    assert (verify(day, best), best.scores["wish"]) == ([], 60)
    stages, plans, bounds = Stages(day), [best], [0]

    def take(plan: Plan) -> Plan:
        assert verify(day, plan) == []
        plans.append(plan)
        return min(plans, key=lambda one: one.scores["wish"])

    def raised(bound: int) -> bool:
        bounds.append(max(bound, bounds[-1]))
        return False

    stages.hold({"placed": 0, "stable": 0}, "wish", 0)
    limits = Limits(seconds=20, workers=2, seed=0)
    stages.minimise(
        "wish", best, lambda: limits, on_plan=take, on_bound=raised, should_stop=lambda: False, within=within
    )  # fmt: skip
    return [plan.scores["wish"] for plan in plans[1:]], bounds


def test_where_no_plan_is_within_the_score_the_bound_is_one_more() -> None:
    found, bounds = searched(Within(14, {}))
    assert (found, bounds[-1]) == ([], 15)


def test_the_best_within_the_score_is_found() -> None:
    found, bounds = searched(Within(34, {}))
    assert (min(found), bounds[-1]) == (20, 20)


@pytest.mark.parametrize(("starts", "best"), [({580}, 20), ({630, 640}, 30)])
def test_a_part_has_the_starts_that_are_named(starts: Collection[int], best: int) -> None:
    """Whoever asks vouches that no other start would do; here it is not so, and the answer is that of these starts."""
    named: dict[Body, Collection[int]] = {("V2", 0): starts}
    found, _ = searched(Within(59, named))
    assert min(found) == best
