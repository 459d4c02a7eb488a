"""Two patients at once: where both could be treated at the same time, side by side or on one unit."""

import datetime
from dataclasses import dataclass, replace
from time import monotonic

from app.clock import Clock
from app.services.openings.asking import Asked
from app.services.openings.ready import ReadyDays
from app.services.openings.search import APART_MIN, MOST_LISTED, MOST_OF_A_DAY, not_past
from solver.masks.bits import minutes_of
from solver.offers import possible_starts
from solver.schedule import PlacedVisit
from solver.together import together
from solver.visits import Fixed, FixedPart, Visit

SECONDS = 2.0


@dataclass(frozen=True, slots=True)
class PairOpening:
    """Where both start at once. ``version``: of the day in which it was found."""

    date: datetime.date
    version: int
    first: PlacedVisit
    second: PlacedVisit

    @property
    def start(self) -> int:
        return self.first.parts[0].start


@dataclass(frozen=True, slots=True)
class FoundPairs:
    """The best of each date, by date. ``looked_until``: the last date that was looked at before the time was over.

    ``is_all``: no date was left out or left half-way because the time was over.
    """

    pairs: tuple[PairOpening, ...]
    looked_until: datetime.date | None
    is_all: bool


def search_pairs(
    ready: ReadyDays, first: Asked, second: Asked, *, same_unit: bool, clock: Clock, seconds: float = SECONDS
) -> FoundPairs:
    """Dates within the first's limits at which both can start at the same minute, nothing else changed.

    Of each date a few starts, APART_MIN from each other, nearest to the wished one, else the earliest. Starts at which
    each can be had alone are tried one by one. Raises InputError where one patient is both.
    """
    end, until, is_all = monotonic() + seconds, None, True
    found: list[PairOpening] = []
    for day in ready.between(first.limits.first, first.limits.last):
        if len(found) >= MOST_LISTED:
            break
        if monotonic() > end:
            is_all = False
            break
        until = day.date
        if day.date.weekday() not in first.limits.weekdays or day.day is None or day.plan is None:
            continue
        one, other = first.on(day.day), second.on(day.day)
        if one is None or other is None:
            continue
        with day.asked() as loaded:
            both = possible_starts(loaded, one) & possible_starts(loaded, other) & not_past(day.date, clock)
        there: list[PairOpening] = []
        for start in sorted(minutes_of(both), key=lambda minute: _far(minute, first.limits.wish)):
            if len(there) == MOST_OF_A_DAY:
                break
            left = end - monotonic()
            if left <= 0:
                is_all = False
                break
            if not any(abs(start - pair.start) < APART_MIN for pair in there):
                at_once = (_at(one, start), _at(other, start))
                pairs = together(day.day, day.plan, *at_once, seconds=left, same_unit=same_unit)
                is_all = is_all and pairs.is_all
                there += [PairOpening(day.date, day.version, pair.first, pair.second) for pair in pairs.found]
        found += there
    return FoundPairs(tuple(found[:MOST_LISTED]), until, is_all)


def _at(visit: Visit, start: int) -> Visit:
    return replace(visit, fixed=Fixed(parts=(FixedPart(start=start),)))


def _far(start: int, wish: int | None) -> tuple[int, int]:
    return (0 if wish is None else abs(start - wish), start)
