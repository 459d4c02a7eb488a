"""Half-open intervals: what touches passes, what shares one minute does not.

Source: RFC 5545, where an event's DTEND is exclusive; the day contract's intervals are the same.
"""

import pytest

from solver.clock import Interval
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from tests.builders import a_channel, a_day, a_part, a_place, a_plan, a_unit, a_visit, placed, still

FIRST = a_visit(a_part(still(30)), id="first")
SECOND = a_visit(a_part(still(30)), id="second")
SAME_PATIENT = a_visit(a_part(still(30)), id="second", patient=FIRST.patient)


def one_of_each(second_start: str, second_bay: str = "F1") -> tuple[Day, Plan]:
    """Two visits on the only channel of the only unit, the first of them from 09:00 to 09:30."""
    day = a_day(FIRST, SECOND, units=[a_unit(channels=[a_channel("s1")])], places=[a_place(bays=("F1", "F2"))])
    return day, a_plan(day, placed(FIRST, "09:00"), placed(SECOND, second_start, bay=second_bay))


def test_a_part_may_start_in_the_minute_in_which_the_one_before_ends() -> None:
    assert verify(*one_of_each("09:30")) == []


def test_a_part_may_not_start_one_minute_sooner() -> None:
    assert {breach.rule for breach in verify(*one_of_each("09:29"))} == {"bay", "channels"}
    assert {breach.rule for breach in verify(*one_of_each("09:29", second_bay="F2"))} == {"channels"}


def test_two_visits_of_one_patient_may_touch_and_not_overlap() -> None:
    day = a_day(FIRST, SAME_PATIENT)
    touching = placed(SAME_PATIENT, "09:30", bay="F2", channels={"pads": ["s2"]})
    overlapping = placed(SAME_PATIENT, "09:29", bay="F2", channels={"pads": ["s2"]})
    assert verify(day, a_plan(day, placed(FIRST, "09:00"), touching)) == []
    assert {breach.rule for breach in verify(day, a_plan(day, placed(FIRST, "09:00"), overlapping))} == {"patient"}


@pytest.mark.parametrize(("start", "broken"), [("11:30", set()), ("11:31", {"hours", "patient"})])
def test_a_stay_may_end_at_close_and_not_after(start: str, broken: set[str]) -> None:
    day = a_day(FIRST)
    assert {breach.rule for breach in verify(day, a_plan(day, placed(FIRST, start)))} == broken


def test_intervals_that_touch_share_no_minute() -> None:
    assert not Interval(540, 570).meets(Interval(570, 600))
    assert Interval(540, 571).meets(Interval(570, 600))
