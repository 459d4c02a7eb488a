"""The solver against brute force: on every small day it proves exactly the scores that trying everything finds.

Each feature of the contract is in focus in turn. `SMALL_DAYS` in the environment sets how many days are tried for each
(default 7, the same ones every time); a number given there draws new days, thousands before a release.
"""

import os

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from solver.problem import Day
from solver.search import solve
from solver.verify import verify
from tests.solver.brute_force import best_scores
from tests.solver.small_days import FEATURES, small_days

DAYS_EACH = int(os.environ.get("SMALL_DAYS", "7"))
SECONDS = 30.0


@pytest.mark.parametrize("feature", FEATURES)
@settings(
    max_examples=DAYS_EACH,
    deadline=None,
    derandomize="SMALL_DAYS" not in os.environ,
    suppress_health_check=[HealthCheck.too_slow],
    print_blob=True,
)
@given(data=st.data())
def test_solve_proves_the_scores_that_trying_everything_finds(feature: str, data: st.DataObject) -> None:
    day: Day = data.draw(small_days(feature))
    best = best_scores(day)
    plan = solve(day, seconds=SECONDS, workers=1)
    if best is None:
        event("infeasible")
        assert plan.status == "infeasible"
        assert plan.conflict
        return
    event("some left out" if best.get("placed") else "all placed")
    assert plan.status == "optimal"
    assert dict(plan.scores) == best
    assert dict(plan.bounds) == best
    assert verify(day, plan) == []
    assert all(each.reasons for each in plan.left_out)
