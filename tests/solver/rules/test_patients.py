"""The rule ``patients``."""

import pytest

from tests.builders import a_day, a_part, a_place, a_plan, a_unit, a_visit, placed, unattended
from tests.solver.rules.boundary import BoundaryCase, assert_boundary

BAYS = ["F1", "F2", "F3"]
SOUND = a_part(unattended(10), channels={"ultrasound": 1})
PADS = a_part(unattended(10))


def two_at_most() -> BoundaryCase:
    visits = [a_visit(part, id=f"V{i}") for i, part in enumerate((SOUND, PADS, PADS))]
    day = a_day(*visits, units=[a_unit(patients_at_once=2)], places=[a_place(bays=BAYS)])
    kept, broken = (
        a_plan(
            day,
            placed(visits[0], "09:00", bay="F1"),
            placed(visits[1], "09:05", bay="F2"),
            placed(visits[2], start, bay="F3", channels={"pads": ["s2"]}),
        )
        for start in ("09:10", "09:09")
    )
    return BoundaryCase("patients", "two at once, not three", day, kept, broken)


def one_at_most(name: str, same_unit: bool, kept: str, broken: str) -> BoundaryCase:
    """A visit with parts at 09:00 and 09:30, and another that comes at the time given, on a unit for one patient."""
    one, other = a_visit(SOUND, SOUND, id="V1", same_unit=same_unit), a_visit(PADS, id="V2")
    day = a_day(one, other, units=[a_unit(patients_at_once=1)])
    plans = [a_plan(day, placed(one, "09:00", "09:30"), placed(other, start, bay="F2")) for start in (kept, broken)]
    return BoundaryCase("patients", name, day, plans[0], plans[1])


CASES = [
    two_at_most(),
    one_at_most("a patient who waits in a stay is there", True, "09:40", "09:15"),
    one_at_most("the last minute of a stay", True, "09:40", "09:39"),
    one_at_most("nobody is there between two stays of a visit", False, "09:10", "09:09"),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)
