"""Days of the bench with their first plans."""

from functools import cache

from solver.construct import construct
from solver.problem import Day
from solver.schedule import Plan
from tests.bench.days import bench_day
from tests.builders import a_plan


@cache
def planned(size: str, seed: int) -> tuple[Day, Plan]:
    """A day of the bench with its first plan."""
    day = bench_day(size, seed)
    ledger = construct(day)
    assert ledger is not None
    return day, a_plan(day, *ledger.visits.values(), breaks=[taken for _, taken in sorted(ledger.breaks.items())])
