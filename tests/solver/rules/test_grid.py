"""The rule ``grid``."""

import pytest

from tests.builders import a_break, a_break_taken, a_day, a_plan, a_therapist, a_visit, placed
from tests.solver.rules.boundary import BoundaryCase, assert_boundary


def part_start(step: int, on: str, off: str, open: str = "09:00") -> BoundaryCase:
    visit = a_visit()
    day = a_day(visit, step_min=step, open=open)
    return BoundaryCase(
        "grid",
        f"a part on the {step}-minute grid",
        day,
        a_plan(day, placed(visit, on)),
        a_plan(day, placed(visit, off)),
    )


def break_start() -> BoundaryCase:
    day = a_day(step_min=5, staff=[a_therapist(breaks=[a_break(15, "10:00-11:00")])])
    kept, broken = (a_plan(day, breaks=[a_break_taken("T1", start)]) for start in ("10:05", "10:06"))
    return BoundaryCase("grid", "a break on the grid", day, kept, broken)


CASES = [
    part_start(5, "09:05", "09:04"),
    part_start(10, "09:20", "09:21"),
    part_start(15, "09:15", "09:25", open="09:10"),  # counted from midnight, not from opening
    break_start(),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)
