"""Why a start is no offer: something is named exactly then, and it is gone with the visits it names."""

from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.compose import plan_of
from solver.offers import offers
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from solver.visits import Visit
from solver.whynot import whynot
from tests.solver.offering.test_offers import a_first_plan
from tests.solver.small_days import FEATURES, small_days


def taken_off(day: Day, plan: Plan, visit: Visit, ids: tuple[str, ...]) -> tuple[Day, Plan]:
    """The day and the plan without these visits, and with the visit that is asked about in the day alone."""
    gone = {*ids, visit.id}
    left = replace(day, visits=(*(other for other in day.visits if other.id not in gone), replace(visit, fixed=None)))
    placed = {each.id: each for each in plan.visits if each.id not in gone}
    numbers: dict[str, int] = {}
    breaks = {}
    for taken in plan.breaks:
        numbers[taken.staff] = numbers.get(taken.staff, -1) + 1
        breaks[taken.staff, numbers[taken.staff]] = taken
    return left, plan_of(left, placed, breaks)


@pytest.mark.parametrize("focus", FEATURES)
@settings(max_examples=3, deadline=None, derandomize=True)
@given(data=st.data())
def test_something_is_named_where_a_start_is_no_offer_and_is_gone_with_its_holders(
    focus: str, data: st.DataObject
) -> None:
    day = data.draw(small_days(focus))
    plan = a_first_plan(day)
    if plan is None:
        return
    visit = data.draw(st.sampled_from(day.visits))
    starts = [offer.parts[0].start for offer in offers(day, plan, visit)]
    for start in range(day.open - day.step_min, day.close, day.step_min):
        answer = whynot(day, plan, visit, start)
        assert answer.fits == (start in starts) == (not answer.reasons)
        for reason in answer.reasons:
            assert reason.start < reason.end
            if not reason.held_by:
                continue
            event(f"held: {reason.rule}")
            less, rest = taken_off(day, plan, visit, reason.held_by)
            if verify(less, rest):
                continue  # a plan without the visits is no right plan: a battery that charged while one was there
            again = whynot(less, rest, visit, start)
            left = [each for each in again.reasons if each.held_by]
            assert (reason.rule, reason.resource) not in {(each.rule, each.resource) for each in left}
