"""The check ``status``: bounds beside scores, and what a status claims."""

from dataclasses import replace

import pytest

from solver.names import AimName, PlanStatus
from solver.schedule import Clash
from solver.verify import verify
from tests.builders import a_break, a_day, a_plan, a_therapist, a_visit, an_infeasible_plan, placed

VISIT = a_visit(wish="09:10")
DAY = a_day(VISIT, aims=("placed", "wish"))
PLAN = a_plan(DAY, placed(VISIT, "09:00"))


@pytest.mark.parametrize(
    ("status", "bounds"),
    [
        ("feasible", {"placed": 0, "wish": 0}),
        ("feasible", {"placed": 0, "wish": 10}),
        ("optimal", {"placed": 0, "wish": 10}),
    ],
)
def test_what_may_be_claimed(status: PlanStatus, bounds: dict[AimName, int]) -> None:
    assert verify(DAY, replace(PLAN, status=status, bounds=bounds)) == []


@pytest.mark.parametrize(
    ("status", "bounds"),
    [
        ("optimal", {"placed": 0, "wish": 9}),
        ("feasible", {"placed": 0, "wish": 11}),
        ("feasible", {"placed": -1, "wish": 0}),
        ("feasible", {"placed": 0}),
        ("feasible", {"placed": 0, "wish": 0, "finish": 0}),
    ],
)
def test_what_may_not_be_claimed(status: PlanStatus, bounds: dict[AimName, int]) -> None:
    assert [breach.rule for breach in verify(DAY, replace(PLAN, status=status, bounds=bounds))] == ["status"]


def test_infeasible_needs_something_that_must_stand() -> None:
    conflict = Clash(id="T1", rules=("break",))
    assert [breach.rule for breach in verify(DAY, an_infeasible_plan(DAY, conflict))] == ["status"]
    with_a_break = a_day(staff=[a_therapist(breaks=[a_break()])])
    assert verify(with_a_break, an_infeasible_plan(with_a_break, conflict)) == []
