"""Clock times and half-open intervals."""

import pytest

from solver.clock import Interval, clock, overlapping, parse_clock, union_minutes
from tests.builders import span


@pytest.mark.parametrize(("text", "minute"), [("00:00", 0), ("09:05", 545), ("23:59", 1439), ("24:00", 1440)])
def test_times_of_a_day_read_and_written(text: str, minute: int) -> None:
    assert parse_clock(text) == minute
    assert clock(minute) == text


@pytest.mark.parametrize(
    "text", ["24:01", "25:00", "9:05", "09:5", "09:60", "09.05", " 09:05", "09:05\n", "-1:00", "", "٠٩:٠٥", "09:05:00"]
)
def test_what_is_no_time_of_a_day(text: str) -> None:
    assert parse_clock(text) is None


def test_minutes_outside_a_day_are_written_as_they_count_on() -> None:
    assert [clock(1450), clock(-5), clock(-65)] == ["24:10", "-00:05", "-01:05"]


def test_intervals_that_touch_do_not_meet() -> None:
    assert not span("09:00-09:30").meets(span("09:30-10:00"))
    assert not span("09:30-10:00").meets(span("09:00-09:30"))
    assert span("09:00-09:31").meets(span("09:30-10:00"))


def test_an_interval_covers_itself_and_no_minute_more() -> None:
    assert span("09:00-09:30").covers(span("09:00-09:30"))
    assert not span("09:00-09:30").covers(span("09:00-09:31"))
    assert not span("09:00-09:30").covers(span("08:59-09:30"))


def test_overlap_of_a_list_in_any_order() -> None:
    assert not overlapping([span("10:00-11:00"), span("09:00-10:00")])
    assert overlapping([span("10:00-11:00"), span("09:00-10:01")])
    assert not overlapping([])


def test_minutes_of_a_union_are_counted_once() -> None:
    assert union_minutes([span("09:00-10:00"), span("09:30-10:30"), span("09:40-09:50"), span("11:00-11:01")]) == 91
    assert union_minutes([]) == 0


def test_an_interval_is_written_as_its_times() -> None:
    assert str(Interval(540, 575)) == "09:00–09:35"
    assert Interval(540, 575).minutes == 35
