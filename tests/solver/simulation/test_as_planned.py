"""Without lateness, overrun and missed visits every run is the plan itself, to the minute."""

import pytest
from hypothesis import assume, given, settings

from solver.construct import construct
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from tests.bench.days import bench_day
from tests.builders import a_plan
from tests.solver.report.right_plans import right_plans
from tests.solver.simulation.runs import Run, as_planned


def _planned(size: str, seed: int) -> tuple[Day, Plan]:
    day = bench_day(size, seed)
    ledger = construct(day)
    assert ledger is not None
    return day, a_plan(day, *ledger.visits.values(), breaks=[taken for _, taken in sorted(ledger.breaks.items())])


def _is_the_plan(day: Day, plan: Plan) -> None:
    run = Run(day, plan)
    assert run.happened.begun == as_planned(run.layout)
    assert run.happened.ready == as_planned(run.layout)
    assert run.happened.ended == [task.planned + task.minutes for task in run.layout.tasks]
    assert run.happened.held == {}
    assert run.happened.short_minutes == 0


@settings(max_examples=80, deadline=None, derandomize=True)
@given(right_plans())
def test_a_small_day_runs_as_planned(drawn: tuple[Day, Plan]) -> None:
    day, plan = drawn
    assume(not verify(day, plan))
    _is_the_plan(day, plan)


@pytest.mark.parametrize(("size", "seed"), [("S", 1), ("S", 2), ("S", 3), ("M", 1), ("M", 2)])
def test_a_clinics_day_runs_as_planned(size: str, seed: int) -> None:
    _is_the_plan(*_planned(size, seed))


@pytest.mark.parametrize("seed", [1, 2])
def test_whoever_is_missing_moves_nobody(seed: int) -> None:
    day, plan = _planned("M", seed)
    missed = [visit.id for visit in plan.visits[::3]]
    run = Run(day, plan, missed=missed)
    for placed in plan.visits:
        if placed.id in missed:
            assert set(run.starts(placed.id)) == {None}
        else:
            assert run.starts(placed.id)[0] == placed.parts[0].start
