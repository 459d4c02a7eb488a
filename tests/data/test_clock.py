"""Local minutes against instants, also where clocks change. Dublin's clocks: IANA time zone database, file europe."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from app.clock import clock_change, instant_of, local_minute
from solver.clock import Interval

DUBLIN = ZoneInfo("Europe/Dublin")
SPRING, AUTUMN = date(2031, 3, 30), date(2031, 10, 26)


@pytest.mark.parametrize(
    ("day", "minute", "utc"),
    [
        (date(2031, 3, 4), 540, "2031-03-04T09:00"),
        (date(2031, 6, 4), 540, "2031-06-04T08:00"),
        (SPRING, 30, "2031-03-30T00:30"),
        (SPRING, 540, "2031-03-30T08:00"),
        (SPRING, 1440, "2031-03-30T23:00"),
        (AUTUMN, 90, "2031-10-26T00:30"),
        (AUTUMN, 540, "2031-10-26T09:00"),
        (AUTUMN, 1440, "2031-10-27T00:00"),
    ],
)
def test_a_minute_of_the_local_clock_is_an_instant(day: date, minute: int, utc: str) -> None:
    instant = datetime.fromisoformat(f"{utc}+00:00")
    assert instant_of(day, minute, DUBLIN) == instant
    if minute < 1440:
        assert local_minute(instant, day, DUBLIN) == minute


def test_the_hour_that_is_shown_twice_is_the_first_and_both_are_read_alike() -> None:
    first, second = (datetime(2031, 10, 26, hour, 30, tzinfo=UTC) for hour in (0, 1))
    assert local_minute(first, AUTUMN, DUBLIN) == local_minute(second, AUTUMN, DUBLIN) == 90
    assert instant_of(AUTUMN, 90, DUBLIN) == first


def test_the_hour_that_is_skipped_keeps_the_order() -> None:
    instants = [instant_of(SPRING, minute, DUBLIN) for minute in (59, 60, 119)]
    assert instants == sorted(instants)


def test_an_instant_of_another_day_is_an_end_of_this_one() -> None:
    assert local_minute(datetime(2031, 3, 3, 12, tzinfo=UTC), date(2031, 3, 4), DUBLIN) == 0
    assert local_minute(datetime(2031, 3, 5, 12, tzinfo=UTC), date(2031, 3, 4), DUBLIN) == 1440


@pytest.mark.parametrize(
    ("zone", "day", "minutes", "forward"),
    [
        ("Europe/Dublin", SPRING, (60, 120), True),
        ("Europe/Dublin", AUTUMN, (60, 120), False),
        ("Australia/Lord_Howe", date(2031, 10, 5), (120, 150), True),
        ("Africa/Cairo", date(2031, 4, 25), (0, 60), True),
        ("Africa/Cairo", date(2031, 10, 30), (1380, 1440), False),
    ],
)
def test_minutes_that_are_no_one_moment_are_found(
    zone: str, day: date, minutes: tuple[int, int], forward: bool
) -> None:
    """IANA time zone database, files europe, australasia and africa."""
    change = clock_change(day, ZoneInfo(zone))
    assert change is not None
    assert (change.minutes, change.forward) == (Interval(*minutes), forward)


@pytest.mark.parametrize("day", [date(2031, 3, 29), date(2031, 3, 31), date.max])
def test_on_other_days_every_minute_is_one_moment(day: date) -> None:
    assert clock_change(day, DUBLIN) is None
