"""A plan made by hand, given as a complete hint, is accepted by the exact model unchanged; a broken one is refused.

The idea of the check is PyJobShop's (``test_CPModel.py``): it shows cheaply that model and rules agree.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.problem import Day
from solver.search import solve
from solver.verify import verify
from tests.solver.exact.hinting import accepted, outline
from tests.solver.rules.boundary import BoundaryCase
from tests.solver.rules.cases import BOUNDARY_CASES
from tests.solver.small_days import FEATURES, small_days


@pytest.mark.parametrize("case", BOUNDARY_CASES, ids=str)
def test_a_plan_that_keeps_a_rule_to_the_minute_is_accepted_unchanged(case: BoundaryCase) -> None:
    given_back = accepted(case.day, case.kept)
    assert given_back is not None
    assert outline(case.day, given_back) == outline(case.day, case.kept)
    assert verify(case.day, given_back) == []


@pytest.mark.parametrize("case", BOUNDARY_CASES, ids=str)
def test_a_plan_a_minute_beyond_a_rule_is_refused(case: BoundaryCase) -> None:
    try:
        given_back = accepted(case.day, case.broken)
    except (LookupError, ValueError):
        return  # it names what the day does not have, which the model has no words for
    # Where the model has no choice that says what is broken, it gives the plan back mended.
    assert given_back is None or verify(case.day, given_back) == []


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days))
def test_every_plan_that_leaves_the_search_is_accepted(day: Day) -> None:
    plan = solve(day, seconds=20, workers=1)
    if plan.status != "infeasible":
        given_back = accepted(day, plan)
        assert given_back is not None
        assert outline(day, given_back) == outline(day, plan)
