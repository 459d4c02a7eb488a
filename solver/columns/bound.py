"""A proved lower bound of one aim, given what the aims before it have reached.

Every right plan picks at most one column for each visit, so no plan is better than the programme's least sum. Columns
that cost more than the best plan known are left out: a plan that used one would not be better than that plan.

Of the other columns a few are enough at first; with the prices that they lead to, those are added that would lower the
sum, until there are none: column generation (Dantzig & Wolfe, "Decomposition principle for linear programs",
Operations Research 8, 1960). On the way, the sum less the most that columns still outside could lower it is a bound
already (Lasdon, "Optimization theory for large systems", 1970).
"""

from collections.abc import Callable, Mapping
from math import ceil, gcd, inf
from typing import NamedTuple

from solver.columns.placements import Placement, Placements
from solver.columns.rows import Rows
from solver.columns.staffing import crew_of
from solver.masks.ledger import Ledger
from solver.names import AimName
from solver.problem import Day
from solver.progress import StopRequest
from solver.schedule import Plan

FEW_COLUMNS = 3_000
"""So many are taken in all at once: prices then say more of what each start costs."""
MOST_COLUMNS = 250_000
"""Beyond, there is no time even to look at each."""
FIRST_FOR_EACH = 16
"""Columns of each visit at first: those that cost least, nearest to the plan known."""
ADDED_FOR_EACH = 12
"""Columns of each visit added at a time: those that lower the sum most."""
SLACK = 1e-4
"""What a bound may lose to rounding in the linear solver."""
START_SLACK = 0.01
"""The same for what a start costs, which is not rounded up to a score."""
SMALL = 1e-7
CLOSE = 0.5
"""How near to the sum its bound must come: what each start costs at least depends on it."""

Body = tuple[str, int]
"""A visit by its id and the number of its first part here: 0, or any of its parts where it is taken part by part."""


class ColumnBound(NamedTuple):
    """``score``: no plan has less of the aim. ``with_start``: no plan has less in which the body starts so.

    A start that is not there costs more than the best plan known; FAR stands for all starts that are not told apart.
    """

    score: int
    with_start: Mapping[Body, Mapping[int, float]]

    def starts_within(self, score: int) -> dict[Body, frozenset[int]]:
        """The starts that a body has in plans with at most this score of the aim, where they are known one by one."""
        found = {
            body: frozenset(start for start, least in known.items() if least <= score + START_SLACK)
            for body, known in self.with_start.items()
        }
        return {body: starts for body, starts in found.items() if FAR not in starts}


FAR = -1
NO_BOUND = ColumnBound(0, {})


def column_bound(
    day: Day,
    aim: AimName,
    held: Mapping[AimName, int],
    best: int,
    should_stop: StopRequest,
    *,
    known: Plan | None = None,
    told: Callable[[int], object] = lambda bound: None,
    by_start: bool = False,
) -> ColumnBound:
    """The least score of the aim for plans that keep the ``held`` scores, never above ``best``; 0 where not known.

    ``held``: the scores of the aims before; ``best``: the aim's score in the best plan known; ``known``: that plan,
    which helps to begin. ``told`` hears of every better bound on the way; stopped, the best so far is the answer.
    ``by_start``: what each start costs is asked for too.
    """
    by_name = any(name in ("therapist", "stable") for name in (aim, *held))
    placements = Placements(day, Ledger(day), aim, {**held, aim: best}, by_name=by_name)
    if placements.mostly_apart:
        return NO_BOUND
    rows = Rows(day, placements.crews, aim, held)
    rows.add_breaks(placements.breaks())
    outside: dict[Body, list[Placement]] = {}
    whole = rows.constant
    for count, placement in enumerate(placements):
        if count > MOST_COLUMNS or should_stop():
            return NO_BOUND
        whole = gcd(whole, placements.grain(placement))
        outside.setdefault((placement.visit.id, placement.number), []).append(placement)
    generation = _Generation(rows, whole or 1, outside, best, should_stop, told, by_start=by_start)
    return generation.run(_starts(known, placements))


class _Generation:
    """Columns added until none is worth it; ``outside`` holds those of each visit, or part of one, not added yet.

    ``whole``: what the sum is a multiple of.
    """

    def __init__(
        self,
        rows: Rows,
        whole: int,
        outside: dict[Body, list[Placement]],
        best: int,
        should_stop: StopRequest,
        told: Callable[[int], object],
        *,
        by_start: bool,
    ) -> None:
        self.rows = rows
        self.outside = outside
        self.best = best
        self.should_stop = should_stop
        self.told = told
        self._whole = whole
        self._asked = {body: tuple(placements) for body, placements in outside.items()} if by_start else {}

    def run(self, known: Mapping[Body, tuple[int, int | None]]) -> ColumnBound:
        """``known``: starts and crews in a plan known."""
        few = sum(map(len, self.outside.values())) <= FEW_COLUMNS
        for body, placements in self.outside.items():
            start, crew = known.get(body, (placements[0].visit.wish or 0, None))
            placements.sort(key=lambda p: (p.start != start or p.crew != crew, self.rows.cost(p), abs(p.start - start)))
            self._add(body, placements if few else placements[:FIRST_FOR_EACH])
        bound, with_start = 0, NO_BOUND.with_start
        while not self.should_stop():
            solution = self.rows.programme.solve(self.should_stop)
            if solution is None:
                break
            if solution.value == inf:
                if not any(self.outside.values()):
                    return ColumnBound(self.best, {})
                for body, placements in self.outside.items():
                    self._add(body, placements)
                continue
            reduced = self.rows.reduced(solution.prices)
            worth = {body: self._worth(placements, reduced) for body, placements in self.outside.items()}
            lower = solution.value + sum(found[0][0] for found in worth.values() if found)
            bound = max(bound, self._rounded(lower))
            self.told(bound)
            if bound >= self._rounded(solution.value) and (not self._asked or lower > solution.value - CLOSE):
                with_start = self._with_start(lower + self.rows.constant, reduced)
                break
            for body, found in worth.items():
                self._add(body, [placement for _, placement in found[:ADDED_FOR_EACH]])
        return ColumnBound(bound, with_start)

    def _with_start(self, sum_at_least: float, reduced: Callable[[Placement], float]) -> dict[Body, dict[int, float]]:
        """Whoever has a placement has the sum at least, and what that placement adds to it at these prices."""
        found: dict[Body, dict[int, float]] = {}
        for body, placements in self._asked.items():
            least = found[body] = {}
            for placement in placements:
                start = FAR if placement.far else placement.start
                least[start] = min(least.get(start, inf), sum_at_least + max(0.0, reduced(placement)))
        return found

    def _worth(
        self, placements: list[Placement], reduced: Callable[[Placement], float]
    ) -> list[tuple[float, Placement]]:
        """Those that would lower the sum, by how much, the best first."""
        found = [(value, placement) for placement in placements if (value := reduced(placement)) < -SMALL]
        return sorted(found, key=lambda one: one[0])

    def _add(self, body: Body, placements: list[Placement]) -> None:
        added = set(map(id, placements))
        for placement in placements:
            self.rows.add(placement)
        self.outside[body] = [placement for placement in self.outside[body] if id(placement) not in added]

    def _rounded(self, value: float) -> int:
        """The least score that can be, from a lower bound of the sum."""
        return max(0, min(self.best, ceil((value + self.rows.constant - SLACK) / self._whole) * self._whole))


def _starts(known: Plan | None, placements: Placements) -> dict[Body, tuple[int, int | None]]:
    """Where the plan known has each visit, and each of its parts: a part is a body of its own, or the first is all."""
    day, found = placements.day, {}
    for placed in known.visits if known is not None else ():
        therapist = day.staff_by_id[placed.therapist] if placed.therapist is not None else None
        for number, part in enumerate(placed.parts):
            found[placed.id, number] = (part.start, crew_of(placements.crews, therapist))
    return found
