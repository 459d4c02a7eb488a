"""The rule ``bay``."""

import pytest

from solver.verify import verify
from tests.builders import a_day, a_part, a_plan, a_unit, a_visit, placed, unattended
from tests.solver.rules.boundary import BoundaryCase, assert_boundary

SOUND = a_part(unattended(10), channels={"ultrasound": 1})
PADS = a_part(unattended(10))


def after(name: str, turnover: int, kept: str, broken: str, unit: str = "U1", patient: str = "") -> BoundaryCase:
    """A visit from 09:30 to 09:40 in F1, and another in the same bay."""
    one, other = a_visit(SOUND, id="V1", patient=patient), a_visit(PADS, id="V2", patient=patient)
    day = a_day(one, other, bay_turnover_min=turnover, units=[a_unit(), a_unit("U2")])
    plans = [a_plan(day, placed(one, "09:30"), placed(other, start, unit=unit)) for start in (kept, broken)]
    return BoundaryCase("bay", name, day, plans[0], plans[1])


def roaming(name: str, second: tuple[str, str], between: tuple[str, str]) -> BoundaryCase:
    """A roaming visit in F1 at 09:00 and again later, with another visit in between."""
    one, other = a_visit(SOUND, SOUND, id="V1", same_unit=False), a_visit(PADS, id="V2")
    day = a_day(one, other, bay_turnover_min=5)
    kept, broken = (
        a_plan(day, placed(one, "09:00", again), placed(other, start))
        for again, start in zip(second, between, strict=True)
    )
    return BoundaryCase("bay", name, day, kept, broken)


def held_while_waiting() -> BoundaryCase:
    one, other = a_visit(SOUND, SOUND, id="V1"), a_visit(PADS, id="V2")
    day = a_day(one, other)
    kept, broken = (a_plan(day, placed(one, "09:00", "09:40"), placed(other, start)) for start in ("09:50", "09:20"))
    return BoundaryCase("bay", "a bay is held while its patient waits", day, kept, broken)


CASES = [
    after("a turnover after a stay", 5, "09:45", "09:44"),
    after("a turnover before a stay", 5, "09:15", "09:16"),
    after("one stay at a time", 0, "09:40", "09:39"),
    after("a turnover between units", 5, "09:45", "09:44", unit="U2"),
    after("a turnover between two visits of one patient", 5, "09:45", "09:44", patient="same"),
    roaming("a turnover before a visit comes back", ("09:30", "09:29"), ("09:15", "09:15")),
    roaming("a turnover after a visit's first stay", ("09:40", "09:40"), ("09:15", "09:14")),
    held_while_waiting(),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


def test_the_stays_of_one_visit_need_no_turnover() -> None:
    visit = a_visit(SOUND, PADS, same_unit=False)
    day = a_day(visit, bay_turnover_min=5)
    assert verify(day, a_plan(day, placed(visit, "09:00", "09:10"))) == []
