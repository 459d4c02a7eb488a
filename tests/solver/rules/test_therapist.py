"""The rule ``therapist``."""

import pytest

from solver.verify import verify
from solver.visits import Visit
from tests.builders import a_day, a_part, a_plan, a_therapist, a_visit, hands_on, placed, unattended
from tests.solver.rules.boundary import BoundaryCase, assert_boundary

STAFF = [a_therapist("T1"), a_therapist("T2")]


def case(name: str, visit: Visit, kept: str | None, broken: str | None) -> BoundaryCase:
    day = a_day(visit, staff=STAFF)
    plans = [a_plan(day, placed(visit, "09:00", hands=who or "T1", therapist=who)) for who in (kept, broken)]
    return BoundaryCase("therapist", name, day, plans[0], plans[1])


CASES = [
    case("the one that the visit must have", a_visit(a_part(hands_on(10)), therapist_must="T2"), "T2", "T1"),
    case("none without a therapist phase", a_visit(a_part(hands_on(5, "anyone"), unattended(5))), None, "T1"),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


def test_a_therapist_that_must_be_is_not_read_without_a_therapist_phase() -> None:
    visit = a_visit(a_part(unattended(5)), therapist_must="T2")
    day = a_day(visit, staff=STAFF)
    assert verify(day, a_plan(day, placed(visit, "09:00"))) == []


def test_a_wished_therapist_is_no_rule() -> None:
    visit = a_visit(therapist_wish="T2")
    day = a_day(visit, staff=STAFF)
    assert verify(day, a_plan(day, placed(visit, "09:00", hands="T1"))) == []
