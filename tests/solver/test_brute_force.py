"""The solver against brute force: on every small day it proves exactly the scores that trying everything finds.

`SMALL_DAYS` in the environment sets how many days are tried (default 150): thousands before a release.
"""

import os

from hypothesis import HealthCheck, event, given, settings
from solver.search import solve

from solver.problem import Day
from solver.verify import verify
from tests.solver.brute_force import best_scores
from tests.solver.small_days import small_days

EXAMPLES = int(os.environ.get("SMALL_DAYS", "150"))
SECONDS = 30.0


@settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize="SMALL_DAYS" not in os.environ,
    suppress_health_check=[HealthCheck.too_slow],
    print_blob=True,
)
@given(small_days())
def test_solve_proves_the_scores_that_trying_everything_finds(day: Day) -> None:
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
