"""The rule ``suction``."""

import pytest

from solver.verify import verify
from solver.visits import Part
from tests.builders import a_day, a_part, a_plan, a_unit, a_visit, placed, still, unattended
from tests.solver.rules.boundary import BoundaryCase, assert_boundary


def cups(kpa: int | None) -> Part:
    """Five minutes running and five not: the level binds from the part's start to its end."""
    return a_part(still(2), unattended(5), still(3), channels={"cups": 1}, suction_kpa=kpa)


def one_level(name: str, first_kpa: int, second_kpa: int) -> BoundaryCase:
    one, other = a_visit(cups(first_kpa), id="V1"), a_visit(cups(second_kpa), id="V2")
    day = a_day(one, other)
    kept, broken = (
        a_plan(day, placed(one, "09:00"), placed(other, start, bay="F2", channels={"cups": ["s2"]}))
        for start in ("09:10", "09:09")
    )
    return BoundaryCase("suction", name, day, kept, broken)


CASES = [one_level("one level at a time", 20, 30), one_level("a level of 0 is a level", 0, 20)]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


@pytest.mark.parametrize(("levels", "unit"), [((20, 20), "U1"), ((20, None), "U1"), ((0, 0), "U1"), ((20, 30), "U2")])
def test_levels_that_get_along(levels: tuple[int | None, int | None], unit: str) -> None:
    one, other = (a_visit(cups(kpa), id=f"V{i}") for i, kpa in enumerate(levels))
    day = a_day(one, other, units=[a_unit(), a_unit("U2")])
    second = placed(other, "09:05", unit=unit, bay="F2", channels={"cups": ["s2"]})
    assert verify(day, a_plan(day, placed(one, "09:00"), second)) == []
