"""Time as the page draws it: minutes from the day's opening, which the style sheet turns into lengths."""

from dataclasses import dataclass

from solver.clock import Interval, clock
from solver.masks.bits import span, union
from solver.problem import Day

ZOOMS = (0, 480, 240, 120, 60, 30)
"""Minutes that fill the width of the timeline; 0: the whole day."""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of the axis: ``at`` minutes after opening, ``minutes`` long. ``text``: its clock times."""

    at: int
    minutes: int
    text: str


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark of the axis, ``at`` minutes after opening; ``label`` is empty at the marks between."""

    at: int
    label: str


@dataclass(frozen=True, slots=True)
class Scale:
    """The axis of a day from ``open`` to ``close``, both minutes from midnight."""

    open: int
    close: int

    @classmethod
    def of(cls, day: Day) -> "Scale":
        return cls(day.open, day.close)

    @property
    def minutes(self) -> int:
        return self.close - self.open

    def at(self, minute: int) -> int:
        """Minutes after opening, held within the axis."""
        return min(max(minute, self.open), self.close) - self.open

    def span(self, interval: Interval) -> Span:
        """The part of the interval that the axis shows; its text keeps the whole of it."""
        at = self.at(interval.start)
        return Span(at, self.at(interval.end) - at, str(interval))

    def ticks(self, zoom: int = 0) -> tuple[Tick, ...]:
        """Marks as close as the zoom has room for: half hours with full hours named, down to minutes by fives."""
        step, named = (5, 15) if 0 < zoom <= 60 else (15, 30) if 0 < zoom <= 120 else (30, 60)
        first = -(-self.open // step) * step
        return tuple(
            Tick(minute - self.open, clock(minute) if minute % named == 0 else "")
            for minute in range(first, self.close + 1, step)
        )


def stretches(minutes: int) -> tuple[Interval, ...]:
    """The longest stretches of a set of minutes, in which bit t is minute t from midnight."""
    found = []
    while minutes:
        start = (minutes & -minutes).bit_length() - 1
        beyond = ~minutes >> start
        end = start + (beyond & -beyond).bit_length() - 1
        found.append(Interval(start, end))
        minutes &= ~span(start, end)
    return tuple(found)


def outside(day: Day, hours: tuple[Interval, ...]) -> tuple[Interval, ...]:
    """The stretches from open to close that none of the intervals covers."""
    return stretches(span(day.open, day.close) & ~union(span(*hour) for hour in hours))
