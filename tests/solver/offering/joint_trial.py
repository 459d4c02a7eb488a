"""Which of several visits can be put into a plan together, by trying every placing with the verifier.

A placing that breaks a rule beside the visits that stay, and two placings that break one together, do so in every plan;
all but `battery`, which is judged on whole plans only.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache

from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.verify import RULES
from solver.visits import Visit
from tests.solver.every_choice import part_placings, visit_placings

Chosen = tuple[PlacedVisit, ...]


class JointTrial:
    """``rest``: the plan without the visits that are tried, which the day has."""

    def __init__(self, day: Day, rest: Plan, visits: Sequence[Visit]) -> None:
        self.day = day
        self.rest = rest
        self.visits = visits
        self._pair = cache(lambda one, other: self._keeps(self._ways[one[0]][one[1]], self._ways[other[0]][other[1]]))
        self._ways = [[each for each in _every_placing(day, visit) if self._keeps(each)] for visit in visits]

    def ways(self, number: int) -> Sequence[PlacedVisit]:
        return self._ways[number]

    def combined(self, rank: Callable[[Chosen], tuple[int, ...]]) -> Iterator[Chosen]:
        """Every choice that keeps every rule, those of a lower rank first; what is alike in rank is given once."""
        groups: dict[tuple[int, ...], list[tuple[int, ...]]] = {}
        for numbers in self._compatible(()):
            chosen = tuple(self._ways[k][n] for k, n in enumerate(numbers))
            groups.setdefault(rank(chosen), []).append(numbers)
        for key in sorted(groups):
            for numbers in groups[key]:
                chosen = tuple(self._ways[k][n] for k, n in enumerate(numbers))
                if self._keeps(*chosen, battery=True):
                    yield chosen
                    break

    def _compatible(self, numbers: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        k = len(numbers)
        if k == len(self.visits):
            yield numbers
            return
        for n in range(len(self._ways[k])):
            if all(self._pair((i, number), (k, n)) for i, number in enumerate(numbers)):
                yield from self._compatible((*numbers, n))

    def _keeps(self, *chosen: PlacedVisit, battery: bool = False) -> bool:
        plan = replace(self.rest, visits=(*self.rest.visits, *chosen))
        rules = (rule for rule in RULES if battery or rule.name != "battery")
        ids = {placed.id for placed in plan.visits}
        day = self.day if battery else replace(self.day, visits=tuple(v for v in self.day.visits if v.id in ids))
        return not any(True for rule in rules for _ in rule.check(day, plan))


def _every_placing(day: Day, visit: Visit) -> Iterator[PlacedVisit]:
    return visit_placings(visit, [list(part_placings(day, part)) for part in visit.parts])
