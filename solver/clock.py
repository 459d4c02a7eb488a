"""Local clock times as whole minutes from midnight, and half-open intervals of them."""

import re
from collections.abc import Iterable
from itertools import pairwise
from typing import NamedTuple

DAY_MIN = 24 * 60
_CLOCK = re.compile(r"([01][0-9]|2[0-3]):([0-5][0-9])|24:00", re.ASCII)


class Interval(NamedTuple):
    """Minutes from ``start`` up to, and not including, ``end``."""

    start: int
    end: int

    @property
    def minutes(self) -> int:
        return self.end - self.start

    def covers(self, other: "Interval") -> bool:
        return self.start <= other.start and other.end <= self.end

    def meets(self, other: "Interval") -> bool:
        """True where the two share at least one minute."""
        return self.start < other.end and other.start < self.end

    def __str__(self) -> str:
        return f"{clock(self.start)}–{clock(self.end)}"


def clock(minute: int) -> str:
    """``585`` → ``"09:45"``; minutes outside a day are written as they count on (``"24:10"``, ``"-00:05"``)."""
    sign = "-" if minute < 0 else ""
    hours, minutes = divmod(abs(minute), 60)
    return f"{sign}{hours:02d}:{minutes:02d}"


def parse_clock(text: str) -> int | None:
    """Minutes from midnight of ``"HH:MM"`` between ``"00:00"`` and ``"24:00"``; None where it is no such time."""
    if not _CLOCK.fullmatch(text):
        return None
    return int(text[:2]) * 60 + int(text[3:])


def overlapping(intervals: Iterable[Interval]) -> bool:
    """True where any two of the intervals share a minute; intervals that touch do not."""
    ordered = sorted(intervals)
    return any(a.end > b.start for a, b in pairwise(ordered))


def union_minutes(intervals: Iterable[Interval]) -> int:
    """Minutes that lie in at least one of the intervals."""
    total, reached = 0, -DAY_MIN
    for start, end in sorted(intervals):
        total += max(0, end - max(start, reached))
        reached = max(reached, end)
    return total
