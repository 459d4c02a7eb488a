"""The rule ``patient``."""

import pytest

from solver.verify import verify
from solver.visits import Visit
from tests.builders import a_day, a_part, a_plan, a_visit, placed, unattended
from tests.solver.rules.boundary import BoundaryCase, assert_boundary

SOUND = a_part(unattended(10), channels={"ultrasound": 1})
PADS = a_part(unattended(10))


def visit_at(name: str, visit: Visit, kept: list[str], broken: list[str], step_min: int = 1) -> BoundaryCase:
    day = a_day(visit, step_min=step_min)
    return BoundaryCase("patient", name, day, a_plan(day, placed(visit, *kept)), a_plan(day, placed(visit, *broken)))


def two_visits_of_one_patient() -> BoundaryCase:
    one, other = a_visit(SOUND, id="V1", patient="same"), a_visit(PADS, id="V2", patient="same")
    day = a_day(one, other)
    kept, broken = (a_plan(day, placed(one, "09:00"), placed(other, start, bay="F2")) for start in ("09:10", "09:09"))
    return BoundaryCase("patient", "two visits of one patient", day, kept, broken)


def waits(max_wait_min: int, first: int = 10) -> Visit:
    return a_visit(
        a_part(unattended(first), channels={"ultrasound": 1}), a_part(unattended(10), max_wait_min=max_wait_min)
    )


CASES = [
    visit_at("from the first free minute", a_visit(PADS, free="09:30-10:30"), ["09:30"], ["09:29"]),
    visit_at("until the last free minute", a_visit(PADS, free="09:30-10:30"), ["10:20"], ["10:21"]),
    visit_at(
        "free times that touch are not joined", a_visit(PADS, free=["09:00-10:00", "10:00-11:00"]), ["09:50"], ["09:51"]
    ),
    visit_at(
        "the whole visit lies in one free time",
        a_visit(SOUND, PADS, free=["09:00-10:00", "10:00-11:00"]),
        ["09:00", "09:50"],
        ["09:00", "10:00"],
    ),
    visit_at("one part after the other", a_visit(SOUND, PADS), ["09:00", "09:10"], ["09:00", "09:09"]),
    visit_at("the order of the parts", a_visit(SOUND, PADS), ["09:00", "09:20"], ["09:20", "09:00"]),
    visit_at("the longest wait", waits(5), ["09:00", "09:15"], ["09:00", "09:16"]),
    visit_at("no wait", waits(0), ["09:00", "09:10"], ["09:00", "09:11"]),
    visit_at("a wait from the true end", waits(2, first=13), ["09:00", "09:15"], ["09:00", "09:20"], step_min=5),
    two_visits_of_one_patient(),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


def test_a_longest_wait_of_the_first_part_is_not_read() -> None:
    visit = a_visit(a_part(max_wait_min=0))
    day = a_day(visit)
    assert verify(day, a_plan(day, placed(visit, "11:00"))) == []
