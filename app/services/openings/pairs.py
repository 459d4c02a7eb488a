"""Two patients at once: where both could be treated at the same time, side by side or on one unit."""

import datetime
from dataclasses import dataclass
from time import monotonic

from app.clock import Clock
from app.services.openings.asking import Asked
from app.services.openings.ready import ReadyDays
from app.services.openings.search import MOST_LISTED, MOST_OF_A_DAY, not_past
from solver.schedule import PlacedVisit
from solver.together import Pair, together

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
    """The best of each date, by date. ``looked_until``: the last date that was looked at before the time was over."""

    pairs: tuple[PairOpening, ...]
    looked_until: datetime.date | None


def search_pairs(
    ready: ReadyDays, first: Asked, second: Asked, *, same_unit: bool, clock: Clock, seconds: float = SECONDS
) -> FoundPairs:
    """Dates within the first's limits at which both can start at the same minute, nothing else changed.

    Of each date the starts nearest to the wished one, else the earliest. Raises InputError where one patient is both.
    """
    end, until = monotonic() + seconds, None
    found: list[PairOpening] = []
    for day in ready.between(first.limits.first, first.limits.last):
        if monotonic() > end or len(found) >= MOST_LISTED:
            break
        until = day.date
        may = not_past(day.date, clock)
        if day.date.weekday() not in first.limits.weekdays or day.day is None or day.plan is None or not may:
            continue
        one, other = first.on(day.day), second.on(day.day)
        if one is None or other is None:
            continue
        pairs = together(day.day, day.plan, one, other, same_unit=same_unit)
        pairs = [pair for pair in pairs if may >> pair.start & 1]
        pairs.sort(key=lambda pair: _far(pair, first.limits.wish))
        found += [PairOpening(day.date, day.version, pair.first, pair.second) for pair in pairs[:MOST_OF_A_DAY]]
    return FoundPairs(tuple(found[:MOST_LISTED]), until)


def _far(pair: Pair, wish: int | None) -> tuple[int, int]:
    return (0 if wish is None else abs(pair.start - wish), pair.start)
