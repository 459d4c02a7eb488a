"""The rule ``hours``."""

import pytest

from tests.builders import a_break, a_break_taken, a_day, a_part, a_plan, a_therapist, a_unit, a_visit, hands_on, placed
from tests.solver.rules.boundary import BoundaryCase, assert_boundary

ALL_DAY = "00:00-24:00"
TEN = a_part(hands_on(10))


def stay(name: str, hours: str | list[str], kept: list[str], broken: list[str], same_unit: bool = True) -> BoundaryCase:
    """A visit of ten-minute parts at the times given, on a unit with these hours; the clinic is open 09:00–12:00."""
    visit = a_visit(*[TEN] * len(kept), free=ALL_DAY, same_unit=same_unit)
    day = a_day(visit, units=[a_unit(hours=hours)])
    return BoundaryCase("hours", name, day, a_plan(day, placed(visit, *kept)), a_plan(day, placed(visit, *broken)))


def pause(name: str, kept: str, broken: str) -> BoundaryCase:
    day = a_day(staff=[a_therapist(breaks=[a_break(15, "08:00-13:00")])])
    plans = [a_plan(day, breaks=[a_break_taken("T1", start)]) for start in (kept, broken)]
    return BoundaryCase("hours", name, day, plans[0], plans[1])


CASES = [
    stay("a stay from opening", ALL_DAY, ["09:00"], ["08:59"]),
    stay("a stay until closing", ALL_DAY, ["11:50"], ["11:51"]),
    stay("a stay from the unit's first minute", "09:30-11:00", ["09:30"], ["09:29"]),
    stay("a stay until the unit's last minute", "09:30-11:00", ["10:50"], ["10:51"]),
    stay("hours that touch are not joined", ["09:00-10:00", "10:00-11:00"], ["09:50"], ["09:51"]),
    stay("a wait belongs to the stay", ["09:00-10:00", "10:00-11:00"], ["09:00", "09:50"], ["09:00", "10:00"]),
    stay("each part is a stay", ["09:00-10:00", "10:30-11:00"], ["09:50", "10:30"], ["09:50", "10:29"], False),
    pause("a break from opening", "09:00", "08:59"),
    pause("a break until closing", "11:45", "11:46"),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)
