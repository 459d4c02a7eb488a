"""The wall clock, as the page needs it; tests pass their own."""

from collections.abc import Callable
from datetime import date, datetime

Clock = Callable[[], datetime]


def wall_clock() -> datetime:
    """Local time of the machine: demo days are written in local time."""
    return datetime.now()


def minute_of(clock: Clock, day: date) -> int | None:
    """The minute of ``day`` it is now; None on any other date."""
    now = clock()
    return now.hour * 60 + now.minute if now.date() == day else None
