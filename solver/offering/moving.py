"""The fewest visits to move, by the fewest minutes, so that another one finds room.

First a quick look at each set of visits: the new one at its best offers, the others as near to their starts as they
then can. That bounds the minutes; a search through every way to place them, nearest starts first, then finds less or
shows that there is none.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import combinations

from solver.aims import costs_of
from solver.masks.bits import minutes_of
from solver.masks.ledger import Ledger
from solver.offering.drained import drained, hopeless, last_openings, ways_before
from solver.offering.every_way import EveryWay
from solver.outline import outline_of
from solver.schedule import PlacedVisit
from solver.visits import Visit

Late = Callable[[], bool]
"""Whether the time for the search is over."""


@dataclass(frozen=True, slots=True)
class Resettled:
    """Where the new visit and the moved ones are; ``minutes``: between the starts before and after, in all."""

    minutes: int
    placed: Mapping[str, PlacedVisit]


class Moving:
    """Of one visit in one ledger of a day that has it; the ledger holds the plan without it, and does so afterwards."""

    def __init__(self, ledger: Ledger, visit: Visit, late: Late) -> None:
        self.ledger = ledger
        self.day = ledger.day
        self.visit = visit
        self.late = late
        self.before = dict(ledger.visits)
        self.best: Resettled | None = None

    def of(self, movable: Sequence[str], count: int) -> bool:
        """Look at every set of so many visits; True where all were looked at in time. ``best`` has the answer."""
        opening = []
        for ids in combinations(movable, count):
            if self.late():
                return False
            with self._without(ids):
                if EveryWay(self.ledger, self.visit, 0).possible():
                    opening.append(ids)
                    self._look(ids)
        for ids in opening:
            if self.best is not None and self.best.minutes == 0:
                break
            with self._without(ids):
                if not self._search([self.day.visit_by_id[id] for id in ids], 0):
                    return False
        return True

    @contextmanager
    def _without(self, ids: Sequence[str]) -> Iterator[None]:
        for id in ids:
            self.ledger.remove(id)
        try:
            yield
        finally:
            for id in ids:
                self.ledger.add(self.before[id])

    @contextmanager
    def _with(self, placed: PlacedVisit) -> Iterator[None]:
        self.ledger.add(placed)
        try:
            yield
        finally:
            self.ledger.remove(placed.id)

    def _apart(self, id: str, start: int) -> int:
        return abs(start - self.before[id].parts[0].start)

    def _too_far(self, minutes: int) -> bool:
        return self.best is not None and minutes >= self.best.minutes

    def _look(self, ids: Sequence[str]) -> None:
        """The new visit at its best offer for each start, then one moved visit after the other; none: its best."""
        if not ids:
            self._let_in(0)
            return
        openings = last_openings(self.ledger, self.visit)
        for start in minutes_of(openings.possible()):
            placed = openings.best(start)
            if self.late():
                return
            if placed is not None:
                with self._with(placed):
                    self._follow(list(ids), 0)

    def _follow(self, ids: list[str], minutes: int) -> None:
        if not ids:
            self._keep(minutes)
            return
        id, *rest = ids
        openings = last_openings(self.ledger, self.day.visit_by_id[id])
        for start in sorted(minutes_of(openings.possible()), key=lambda start: self._apart(id, start)):
            further = minutes + self._apart(id, start)
            if self._too_far(further):
                return
            placed = openings.best(start)
            if placed is not None:
                with self._with(placed):
                    self._follow(rest, further)
                return

    def _search(self, visits: list[Visit], minutes: int) -> bool:
        """Place the visits in every way, then the new one; False where time runs out."""
        if not visits:
            self._let_in(minutes)
            return not self.late()
        visit, *rest = visits
        ways = ways_before(self.ledger, visit, [*rest, self.visit])
        for start in sorted(minutes_of(ways.possible()), key=lambda start: self._apart(visit.id, start)):
            further = minutes + self._apart(visit.id, start)
            if self._too_far(further):
                return True
            for placed in ways.at(start, keeps=lambda bare: self._leaves_room(bare, rest)):
                if self._too_far(further):
                    return True
                with self._with(placed):
                    lost = hopeless(self.ledger, drained(self.ledger))
                    if not lost and not self._search(rest, further):
                        return False
            if self.late():
                return False
        return True

    def _leaves_room(self, bare: PlacedVisit, rest: Sequence[Visit]) -> bool:
        """True where each of those still to come may have a place beside what is known of this one, and in time."""
        if self.late():
            return False
        with self._with(bare):
            if rest:
                return all(EveryWay(self.ledger, visit, 0).possible() for visit in (*rest, self.visit))
            return last_openings(self.ledger, self.visit).possible() != 0

    def _let_in(self, minutes: int) -> None:
        """Place the new visit at its best start, where it has one."""
        openings = last_openings(self.ledger, self.visit)
        found = [placed for start in minutes_of(openings.possible()) if (placed := openings.best(start)) is not None]
        if found:
            best = min(found, key=lambda placed: costs_of(self.day, self.visit, outline_of(self.visit, placed)))
            with self._with(best):
                self._keep(minutes)

    def _keep(self, minutes: int) -> None:
        if not self._too_far(minutes):
            moved = {id: now for id, now in self.ledger.visits.items() if self.before.get(id) is not now}
            self.best = Resettled(minutes, moved)
