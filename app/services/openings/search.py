"""Where a visit could be over up to four weeks, nothing else changed, the best first."""

import datetime
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from app.clock import Clock
from app.services.openings.asking import Asked
from app.services.openings.ready import ReadyDay, ReadyDays, State
from solver.clock import DAY_MIN
from solver.masks.bits import minutes_of, span
from solver.offers import possible_starts
from solver.schedule import PlacedVisit
from solver.visits import Visit

MOST_LISTED = 12
MOST_OF_A_DAY = 3
APART_MIN = 30
"""In the list of the best, starts of one date are so far apart: it is read out on the phone."""


@dataclass(frozen=True, slots=True)
class Opening:
    """A start with its place and hands. ``version``: of the day in which it was found. ``wished``: with the therapist
    who was wished for, or where nobody was."""

    date: datetime.date
    version: int
    placed: PlacedVisit
    wished: bool

    @property
    def start(self) -> int:
        return self.placed.parts[0].start


@dataclass(frozen=True, slots=True)
class DayOpenings:
    """A date's starts, minutes from midnight. ``wished``: those of them with the wished therapist.

    ``open`` to ``close`` are 0 where nothing can be booked. ``asked``: whether the limits ask for the date.
    """

    date: datetime.date
    state: State
    asked: bool
    open: int
    close: int
    starts: tuple[int, ...]
    wished: frozenset[int]


@dataclass(frozen=True, slots=True)
class Found:
    """``days``: every date asked about; ``best``: the first of all starts, at most MOST_LISTED."""

    days: tuple[DayOpenings, ...]
    best: tuple[Opening, ...]

    @property
    def count(self) -> int:
        return sum(len(day.starts) for day in self.days)


def search(ready: ReadyDays, asked: Asked, *, clock: Clock, every_start: bool = False) -> Found:
    """Every start within the limits.

    Sorted by: the wished therapist first, then nearness to the wished start, then date and start. ``best`` has few of a
    date, APART_MIN from each other, unless every start is to be listed; ``days`` has all in any case. Nothing that is
    past by the clock is among them.
    """
    days = ready.between(asked.limits.first, asked.limits.last)
    found = [_on(day, asked, clock) for day in days]
    by_date = {day.date: day for day in days}
    best = []
    for date, start, wished in _ranked(found, asked, every_start):
        opening = _opening(by_date[date], asked, start, wished)
        if opening is not None:
            best.append(opening)
        if len(best) == MOST_LISTED and not every_start:
            break
    return Found(tuple(found), tuple(best))


def opening_at(ready: ReadyDays, asked: Asked, date: datetime.date, start: int, *, clock: Clock) -> Opening | None:
    """The best way to begin then; None where the visit cannot, or where that is past."""
    day = ready.on(date)
    found = _on(day, replace(asked, limits=replace(asked.limits, first=date, last=date)), clock)
    return _opening(day, asked, start, start in found.wished) if start in found.starts else None


def not_past(date: datetime.date, clock: Clock) -> int:
    """The minutes of the date that are not past, as a set."""
    now = clock()
    if date != now.date():
        return span(0, DAY_MIN) if date > now.date() else 0
    return span(now.hour * 60 + now.minute + (now.second > 0), DAY_MIN)


def _on(day: ReadyDay, asked: Asked, clock: Clock) -> DayOpenings:
    limits = asked.limits
    wanted = day.date.weekday() in limits.weekdays
    visit = asked.on(day.day) if wanted and day.loaded is not None and day.day is not None else None
    may = not_past(day.date, clock) & (span(*limits.within) if limits.within is not None else -1)
    if visit is None or not may:
        return DayOpenings(day.date, day.state, wanted, *_hours(day), (), frozenset())
    with day.asked() as loaded:
        starts = possible_starts(loaded, visit) & may
        wished = starts
        if starts and _wishes(visit):
            wished = possible_starts(loaded, _with_the_wished(visit)) & may
    return DayOpenings(
        day.date, day.state, True, *_hours(day), tuple(minutes_of(starts)), frozenset(minutes_of(wished))
    )


def _hours(day: ReadyDay) -> tuple[int, int]:
    return (0, 0) if day.day is None else (day.day.open, day.day.close)


def _wishes(visit: Visit) -> bool:
    return visit.therapist_wish is not None and visit.therapist_must is None and visit.needs_therapist


def _with_the_wished(visit: Visit) -> Visit:
    return replace(visit, therapist_must=visit.therapist_wish)


def _ranked(days: Sequence[DayOpenings], asked: Asked, every_start: bool) -> Iterator[tuple[datetime.date, int, bool]]:
    wish = asked.limits.wish
    every = [
        (start not in day.wished, 0 if wish is None else abs(start - wish), day.date, start)
        for day in days
        for start in day.starts
    ]
    taken: dict[datetime.date, list[int]] = defaultdict(list)
    for missed, _, date, start in sorted(every):
        there = taken[date]
        is_near = any(abs(start - other) < APART_MIN for other in there)
        if every_start or (len(there) < MOST_OF_A_DAY and not is_near):
            there.append(start)
            yield date, start, not missed


def _opening(day: ReadyDay, asked: Asked, start: int, wished: bool) -> Opening | None:
    visit = asked.on(day.day) if day.day is not None else None
    if visit is None:
        return None
    if wished and _wishes(visit):
        visit = _with_the_wished(visit)
    with day.asked() as loaded, loaded.without(visit) as openings:
        placed = openings.best(start)
    return None if placed is None else Opening(day.date, day.version, placed, wished)
