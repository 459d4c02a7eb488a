"""The wall clock, as the page needs it (tests pass their own), and local minutes of a day against instants in UTC."""

import os
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from solver.clock import DAY_MIN, Interval
from solver.errors import Fault, InputError

Clock = Callable[[], datetime]


def wall_clock() -> datetime:
    """Local time of the machine: demo days are written in local time."""
    return datetime.now()


def minute_of(clock: Clock, day: date) -> int | None:
    """The minute of ``day`` it is now; None on any other date."""
    now = clock()
    return now.hour * 60 + now.minute if now.date() == day else None


def days_after(day: date, days: int) -> date:
    """The date so many days later; the last that there is where that is beyond it."""
    return day + timedelta(days=min(days, (date.max - day).days))


def monday_of(day: date) -> date:
    """The Monday of the date's week."""
    return day - timedelta(days=day.weekday())


def instant_of(day: date, minute: int, zone: ZoneInfo) -> datetime:
    """The instant, in UTC, at which the day's local clock shows the minute (0 to 1440).

    A minute that the clock skips is taken by the offset before the change, so that it comes after all that was before
    it; one that it shows twice is the first of the two.
    """
    days, minutes = divmod(minute, DAY_MIN)
    shown = datetime.combine(day + timedelta(days=days), time(minutes // 60, minutes % 60), zone)
    return shown.astimezone(UTC)


def local_minute(instant: datetime, day: date, zone: ZoneInfo) -> int:
    """What the day's local clock shows at the instant, as a minute from 0 to 1440; its ends for one outside the day."""
    shown = instant.astimezone(zone)
    if shown.date() != day:
        return 0 if shown.date() < day else DAY_MIN
    return shown.hour * 60 + shown.minute


@dataclass(frozen=True, slots=True)
class ClockChange:
    """``minutes``: those that the local clock skips (``forward``), or shows twice."""

    minutes: Interval
    forward: bool

    @property
    def said(self) -> str:
        what = "forward and skip" if self.forward else "back and show twice"
        return f"clocks go {what} {self.minutes}, so nothing is booked then"


@lru_cache(maxsize=512)
def clock_change(day: date, zone: ZoneInfo) -> ClockChange | None:
    """The local minutes of the day that are no one moment; None on nearly every day. Nothing is in service then."""
    begins, ends = (datetime.combine(one, time(), zone) for one in (day, days_after(day, 1)))
    if begins.utcoffset() == ends.replace(fold=1).utcoffset():
        return None
    found, forward = [], False
    for minute in range(DAY_MIN):
        shown = begins.replace(hour=minute // 60, minute=minute % 60)
        first, second = shown.utcoffset(), shown.replace(fold=1).utcoffset()
        if first is not None and second is not None and first != second:
            found.append(minute)
            forward = first < second
    return ClockChange(Interval(found[0], found[-1] + 1), forward) if found else None


def zone_named(name: str) -> ZoneInfo:
    """Raises InputError where there is no such zone."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        right = "give a name such as Europe/Dublin"
        raise InputError([Fault("--zone", f"there is no time zone {name!r}", right)]) from None


def machine_zone() -> str:
    """The name of the machine's time zone; ``UTC`` where it does not say."""
    linked = str(Path("/etc/localtime").resolve()).partition("zoneinfo/")[2]
    for name in (os.environ.get("TZ", "").removeprefix(":"), linked):
        if name in available_timezones():
            return name
    return "UTC"
