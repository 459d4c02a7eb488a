"""What is asked for in the coming weeks: sessions left of open courses, who waits, and visits without a place.

The next session of a course is wanted its least number of days after the last that is booked, tomorrow at the earliest,
on the next of its own weekdays, or of the clinic's where it names none, that is not closed; each further one so after
the one before. Whoever waits is wanted once, tomorrow or on the next such day that suits them. A visit without a place
is on its day.
"""

import datetime
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from app.queries.capacity import KeptDay, OpenCourse
from solver.clock import Interval

Source = Literal["course", "waiting", "unplaced"]
SOURCES: tuple[Source, ...] = ("course", "waiting", "unplaced")
Document = dict[str, Any]
DAY = datetime.timedelta(days=1)
THERAPIST, ANYBODY = "therapists’ hands", "anybody’s hands"
"""What is asked of staff, beside the outputs of channels: phases for therapists, and all phases with hands."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One session or visit. ``date`` None: later than the weeks that are looked at. ``weekdays`` and ``hours``: what it
    is limited to; empty: nothing."""

    source: Source
    treatment: int
    date: datetime.date | None
    weekdays: frozenset[int]
    hours: tuple[Interval, ...]

    def may_be(self, weekday: int, block: Interval) -> bool:
        """Whether it may come on the weekday at a time that meets the block."""
        return (not self.weekdays or weekday in self.weekdays) and (
            not self.hours or any(block.meets(span) for span in self.hours)
        )


def minutes_of(parts: Sequence[Document]) -> dict[str, int]:
    """What one visit of a treatment asks for: channel minutes by output, held from a part's start to its end, and
    minutes of hands."""
    found: dict[str, int] = {}
    for part in parts:
        length = sum(phase["min"] for phase in part["phases"])
        for output, count in part["channels"].items():
            found[output] = found.get(output, 0) + length * count
        for phase in part["phases"]:
            for hands in {"therapist": (THERAPIST, ANYBODY), "anyone": (ANYBODY,)}.get(phase["hands"], ()):
                found[hands] = found.get(hands, 0) + phase["min"]
    return found


def channel_min(need: Mapping[str, int]) -> int:
    """Of what a visit asks for, the minutes of channels."""
    return sum(minutes for name, minutes in need.items() if name not in (THERAPIST, ANYBODY))


def asked_for(
    first: datetime.date,
    last: datetime.date,
    opens: Collection[int],
    closures: Collection[datetime.date],
    courses: Sequence[OpenCourse],
    waiting: Sequence[tuple[int, Sequence[int] | None, Sequence[Sequence[int]] | None]],
    kept: Mapping[datetime.date, KeptDay],
) -> Iterator[Asked]:
    """``opens``: weekdays on which the clinic opens; ``closures``: dates on which it does not."""
    for course in courses:
        weekdays, hours = frozenset(course.weekdays or ()), _hours(course.hours)
        apart = datetime.timedelta(days=max(1, course.least_days))
        date = first if course.last is None else max(first, course.last + apart)
        for _ in range(course.left):
            date = _next(date, weekdays or opens, closures)
            yield Asked("course", course.treatment_version_id, date if date <= last else None, weekdays, hours)
            date += apart
    for treatment, days, when in waiting:
        weekdays = frozenset(days or ())
        date = _next(first, weekdays or opens, closures)
        yield Asked("waiting", treatment, date if date <= last else None, weekdays, _hours(when))
    for date, day in sorted(kept.items()):
        for treatment in day.unplaced:
            yield Asked("unplaced", treatment, date, frozenset({date.weekday()}), ())


def _next(date: datetime.date, weekdays: Collection[int], closures: Collection[datetime.date]) -> datetime.date:
    while date in closures or (weekdays and date.weekday() not in weekdays):
        date += DAY
    return date


def _hours(rows: Sequence[Sequence[int]] | None) -> tuple[Interval, ...]:
    return tuple(Interval(start, end) for start, end in rows or ())
