"""The rule ``break``."""

from collections.abc import Sequence

import pytest

from solver.clinic import Break
from solver.schedule import PlacedBreak
from solver.verify import verify
from tests.builders import a_break, a_break_taken, a_day, a_plan, a_therapist
from tests.solver.rules.boundary import BoundaryCase, assert_boundary, rules_broken


def taken(*starts: str, minutes: int = 15) -> list[PlacedBreak]:
    return [a_break_taken("T1", start, minutes) for start in starts]


def case(name: str, breaks: Sequence[Break], kept: list[PlacedBreak], broken: list[PlacedBreak]) -> BoundaryCase:
    day = a_day(staff=[a_therapist(breaks=breaks)])
    return BoundaryCase("break", name, day, a_plan(day, breaks=kept), a_plan(day, breaks=broken))


ONE, TWO = [a_break(15, "10:00-11:00")], [a_break(15, "10:00-11:00"), a_break(15, "10:00-11:00")]
CASES = [
    case("from its first minute", ONE, taken("10:00"), taken("09:59")),
    case("until its last minute", ONE, taken("10:45"), taken("10:46")),
    case("not shorter", ONE, taken("10:10"), taken("10:10", minutes=14)),
    case("not longer", ONE, taken("10:10"), taken("10:10", minutes=16)),
    case("given", ONE, taken("10:10"), []),
    case("given once", ONE, taken("10:10"), taken("10:10", "10:30")),
    case("no overlap", TWO, taken("10:00", "10:15"), taken("10:00", "10:14")),
    case("nothing that is no break of theirs", [], [], taken("10:10")),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


def test_breaks_are_matched_whatever_their_order() -> None:
    wide, narrow = a_break(15, "10:00-11:00"), a_break(15, "10:00-10:20")
    for breaks in ([wide, narrow], [narrow, wide]):
        day = a_day(staff=[a_therapist(breaks=breaks)])
        assert verify(day, a_plan(day, breaks=taken("10:05", "10:40"))) == []
        assert rules_broken(day, a_plan(day, breaks=taken("10:25", "10:40"))) == {"break"}


def test_a_break_may_lie_outside_the_hours_of_the_member() -> None:
    day = a_day(staff=[a_therapist(hours="09:00-10:00", breaks=ONE)])
    assert verify(day, a_plan(day, breaks=taken("10:30"))) == []


def test_a_break_that_ends_before_it_starts_is_a_breach_and_no_crash() -> None:
    day = a_day(staff=[a_therapist(breaks=ONE)])
    for minutes in (0, -15):
        assert rules_broken(day, a_plan(day, breaks=taken("10:30", minutes=minutes))) == {"break"}
