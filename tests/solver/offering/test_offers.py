"""Every offer, and no other: against trying everything with the verifier on small days full of trouble."""

from dataclasses import replace
from unittest.mock import patch

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.aims import costs_of
from solver.construct import construct
from solver.masks.bits import minutes_of
from solver.offering import openings
from solver.offering.loaded import LoadedPlan
from solver.offers import offers, possible_starts
from solver.outline import outline_of
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.verify import verify
from solver.visits import Visit
from tests.builders import a_plan
from tests.solver.every_choice import part_placings, visit_placings
from tests.solver.small_days import FEATURES, small_days

EXAMPLES = 2
NO_RULES = {"scores", "status", "shape"}


def keeps_every_rule(day: Day, plan: Plan, placed: PlacedVisit) -> bool:
    """Whether the verifier names no rule in the plan with the visit where it is said to be."""
    others = tuple(other for other in plan.visits if other.id != placed.id)
    left = tuple(left for left in plan.left_out if left.id != placed.id)
    whole = replace(plan, visits=(*others, placed), left_out=left)
    return {breach.rule for breach in verify(day, whole)} <= NO_RULES


def starts_by_trying(day: Day, plan: Plan, visit: Visit) -> dict[int, tuple[int, ...]]:
    """Every start with the least costs of a placing there that keeps every rule."""
    found: dict[int, tuple[int, ...]] = {}
    for placed in visit_placings(visit, [list(part_placings(day, part)) for part in visit.parts]):
        start, costs = placed.parts[0].start, costs_of(day, visit, outline_of(visit, placed))
        if (start not in found or costs < found[start]) and keeps_every_rule(day, plan, placed):
            found[start] = costs
    return found


def a_first_plan(day: Day) -> Plan | None:
    ledger = construct(day)
    if ledger is None:
        return None
    return a_plan(day, *ledger.visits.values(), breaks=[taken for _, taken in sorted(ledger.breaks.items())])


@pytest.mark.parametrize("most_rigid", [openings.MOST_RIGID, 0], ids=["whole", "part by part"])
@pytest.mark.parametrize("focus", FEATURES)
@settings(max_examples=EXAMPLES, deadline=None, derandomize=True)
@given(data=st.data())
def test_offers_are_every_start_that_the_verifier_allows_at_its_least_costs(
    focus: str, most_rigid: int, data: st.DataObject
) -> None:
    day = data.draw(small_days(focus))
    plan = a_first_plan(day)
    if plan is None:
        return
    visit = data.draw(st.sampled_from(day.visits))
    with patch.object(openings, "MOST_RIGID", most_rigid):
        found = offers(day, plan, visit)
        possible = possible_starts(LoadedPlan(day, plan), visit)
    wanted = starts_by_trying(day, plan, visit)
    event(f"{min(len(wanted), 3)} starts or more")
    assert [offer.parts[0].start for offer in found] == sorted(wanted)
    assert all(keeps_every_rule(day, plan, offer) for offer in found)
    assert {offer.parts[0].start: costs_of(day, visit, outline_of(visit, offer)) for offer in found} == wanted
    assert list(minutes_of(possible)) == sorted(wanted)
