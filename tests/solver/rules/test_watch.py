"""The rule ``watch``."""

import pytest

from solver.clinic import StaffMember
from solver.verify import verify
from solver.visits import Part
from tests.builders import (
    a_break,
    a_break_taken,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    an_assistant,
    hands_on,
    placed,
    set_up,
    still,
    unattended,
)
from tests.solver.rules.boundary import BoundaryCase, assert_boundary

RUNS = a_part(unattended(10), still(5), channels={"ultrasound": 1})
BOTH_RUN = a_part(unattended(10))
BAYS = ["F1", "F2", "F3"]
ONE_EYE = a_therapist(watch_free=1, watch_busy=0)


def beside(name: str, staff: list[StaffMember], part: Part, kept: str, broken: str) -> BoundaryCase:
    """A part that runs unattended from 09:30 to 09:40 and then stands still, and another visit's part beside it."""
    one, other = a_visit(RUNS, id="V1"), a_visit(part, id="V2")
    day = a_day(one, other, staff=staff)
    plans = [a_plan(day, placed(one, "09:30"), placed(other, start, bay="F2")) for start in (kept, broken)]
    return BoundaryCase("watch", name, day, plans[0], plans[1])


def alone(name: str, member: StaffMember, kept: str, broken: str) -> BoundaryCase:
    """A part that runs unattended for ten minutes; the member's break, if any, is taken at 10:00."""
    visit = a_visit(BOTH_RUN)
    day = a_day(visit, staff=[member])
    breaks = [a_break_taken(member.id, "10:00") for _ in member.breaks]
    plans = [a_plan(day, placed(visit, start), breaks=breaks) for start in (kept, broken)]
    return BoundaryCase("watch", name, day, plans[0], plans[1])


def two_members() -> BoundaryCase:
    """The therapist watches one with busy hands, the assistant another until she leaves at 09:40."""
    one = a_visit(a_part(unattended(20), channels={"ultrasound": 1}), id="V1")
    other = a_visit(a_part(set_up(5), unattended(10)), id="V2")
    third = a_visit(a_part(set_up(20)), id="V3")
    staff = [
        a_therapist(watch_free=0, watch_busy=0),
        a_therapist("T2", watch_free=2, watch_busy=1),
        an_assistant(hours="09:00-09:40", watch_free=1),
    ]
    day = a_day(one, other, third, staff=staff, units=[a_unit(patients_at_once=3)], places=[a_place(bays=BAYS)])
    kept, broken = (
        a_plan(
            day,
            placed(one, "09:30"),
            placed(other, start, bay="F2"),
            placed(third, "09:25", bay="F3", hands="T2", channels={"pads": ["s2"]}),
        )
        for start in ("09:25", "09:26")
    )
    return BoundaryCase("watch", "the free and the busy add up", day, kept, broken)


CASES = [
    beside("one to watch at a time", [ONE_EYE], BOTH_RUN, "09:40", "09:39"),
    beside("nobody watches with hands on", [ONE_EYE], a_part(hands_on(10)), "09:40", "09:39"),
    beside("hands are busy where nothing runs", [ONE_EYE], a_part(set_up(10)), "09:40", "09:39"),
    beside("busy before", [ONE_EYE], a_part(set_up(10)), "09:20", "09:21"),
    two_members(),
    alone("somebody who is there from", a_therapist(hours="09:30-11:00", watch_free=1), "09:30", "09:29"),
    alone("somebody who is there until", a_therapist(hours="09:30-11:00", watch_free=1), "10:50", "10:51"),
    alone("nobody on a break until", a_therapist(breaks=[a_break(15)]), "09:50", "09:51"),
    alone("nobody on a break from", a_therapist(breaks=[a_break(15)]), "10:15", "10:14"),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


def test_hours_that_touch_make_one_watch() -> None:
    visit = a_visit(BOTH_RUN)
    day = a_day(visit, staff=[a_therapist(hours=["09:00-10:00", "10:00-11:00"], watch_free=1, watch_busy=0)])
    assert verify(day, a_plan(day, placed(visit, "09:55"))) == []
