"""Columns added as they are worth it give the bound that all of them at once give."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.columns import bound as bounds
from solver.columns.bound import column_bound
from solver.compose import plan_of
from solver.construct import construct
from solver.names import AimName
from solver.problem import Day
from solver.schedule import Plan
from tests.bench.days import bench_day
from tests.solver.small_days import FEATURES, small_days


def first_plan(day: Day) -> Plan | None:
    ledger = construct(day)
    return None if ledger is None else plan_of(day, ledger.visits, ledger.breaks)


def bound_of(day: Day, aim: AimName, plan: Plan) -> tuple[int, list[int]]:
    """The bound given the scores that the plan has for the aims before, and what was told on the way."""
    held = {before: plan.scores[before] for before in day.aims[: day.aims.index(aim)]}
    told: list[int] = []
    found = column_bound(day, aim, held, plan.scores[aim], lambda: False, known=plan, told=told.append).score
    return found, told


@settings(max_examples=44, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days))
def test_a_column_at_a_time_ends_where_all_at_once_do(day: Day) -> None:
    plan = first_plan(day)
    if plan is None:
        return
    for aim in day.aims:
        at_once, _ = bound_of(day, aim, plan)
        with pytest.MonkeyPatch.context() as few:
            few.setattr(bounds, "FEW_COLUMNS", 0)
            few.setattr(bounds, "FIRST_FOR_EACH", 1)
            few.setattr(bounds, "ADDED_FOR_EACH", 1)
            one_by_one, _ = bound_of(day, aim, plan)
        assert one_by_one == at_once, aim


def test_bounds_told_on_the_way_only_rise_up_to_the_last() -> None:
    day = bench_day("M", 2)
    plan = first_plan(day)
    assert plan is not None
    found, told = bound_of(day, "wish", plan)
    assert told == sorted(told)
    assert told[-1] == found
    assert 0 < found <= plan.scores["wish"]
