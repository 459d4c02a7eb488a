"""The verifier and the naive minute-by-minute judge agree on which resource rules a plan breaks."""

from collections import Counter
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from tests.solver.minute_oracle import ORACLE_RULES, rules_broken
from tests.solver.random_plans import random_plan
from tests.solver.rules.cases import BOUNDARY_CASES


def assert_agreed(day: Day, plan: Plan) -> set[str]:
    naive = rules_broken(day, plan)
    told = {breach.rule for breach in verify(day, plan)} & ORACLE_RULES
    if naive & {"place", "channels"}:  # a unit at two places at once, or wrong channels: no battery level is meant
        naive -= {"battery"}
        told -= {"battery"}
    assert told == naive
    return naive


@settings(max_examples=60)
@given(st.randoms(use_true_random=False))
def test_on_plans_that_shrink(rng: Random) -> None:
    assert_agreed(*random_plan(rng))


def test_on_many_plans_and_every_rule_is_kept_and_broken_among_them() -> None:
    plans = 400
    broken: Counter[str] = Counter()
    for seed in range(plans):
        broken.update(assert_agreed(*random_plan(Random(seed))))
    for rule in ORACLE_RULES:
        assert plans * 0.02 < broken[rule] < plans * 0.98, (rule, broken[rule])


def test_on_the_boundaries() -> None:
    for case in BOUNDARY_CASES:
        for plan in (case.kept, case.broken):
            assert_agreed(case.day, plan)
