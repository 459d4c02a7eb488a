"""Without lateness, overrun and missed visits every run is the plan itself, to the minute."""

import pytest
from hypothesis import assume, given, settings

from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from tests.solver.first_plans import planned
from tests.solver.report.right_plans import right_plans
from tests.solver.simulation.runs import Run, as_planned


def _is_the_plan(day: Day, plan: Plan) -> None:
    run = Run(day, plan)
    assert run.happened.begun == as_planned(run.layout)
    assert run.happened.ready == as_planned(run.layout)
    assert run.happened.ended == [task.planned + task.minutes for task in run.layout.tasks]
    assert run.happened.held == {}
    assert run.happened.short_minutes == 0


@settings(max_examples=40, deadline=None, derandomize=True)
@given(right_plans())
def test_a_small_day_runs_as_planned(drawn: tuple[Day, Plan]) -> None:
    day, plan = drawn
    assume(not verify(day, plan))
    _is_the_plan(day, plan)


@pytest.mark.parametrize(("size", "seed"), [("S", 1), ("S", 2), ("M", 1)])
def test_a_clinics_day_runs_as_planned(size: str, seed: int) -> None:
    _is_the_plan(*planned(size, seed))


def test_whoever_is_missing_moves_nobody() -> None:
    day, plan = planned("M", 1)
    missed = [visit.id for visit in plan.visits[::3]]
    run = Run(day, plan, missed=missed)
    for placed in plan.visits:
        if placed.id in missed:
            assert set(run.starts(placed.id)) == {None}
        else:
            assert run.starts(placed.id)[0] == placed.parts[0].start
