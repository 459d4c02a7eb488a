"""Ruin and recreate: whatever it does, its best plan is right and has the scores that it says."""

import pytest

from solver.compose import plan_of
from solver.construct import construct
from solver.improve import Improver
from solver.verify import verify
from tests.bench.days import bench_day


@pytest.mark.parametrize(("crowded", "proved"), [(False, 0), (True, 0), (False, 3)])
def test_the_best_plan_is_right_and_only_gets_better(crowded: bool, proved: int) -> None:
    day = bench_day("S", 1, crowded=crowded)
    ledger = construct(day)
    assert ledger is not None
    improver = Improver(ledger, seed=1)
    improver.proved = proved
    first = improver.best_scores
    for step in range(300):
        before = improver.best_scores
        assert improver.step(step / 300) == (improver.best_scores < before)
        assert improver.best_scores <= before
    plan = plan_of(day, *improver.best)
    assert verify(day, plan) == []
    assert tuple(plan.scores[aim] for aim in day.aims) == improver.best_scores < first
