"""Which of several visits can be put into a plan together, by trying every placing with the verifier.

A placing that breaks a rule beside the visits that stay, and two placings that break one together, do so in every plan;
all but `battery`, which is judged on whole plans only.
"""

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import combinations, product
from math import prod

from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.verify import RULES
from solver.visits import Fixed, Visit
from tests.solver.every_choice import Placing, part_placings, visit_placings

Chosen = tuple[PlacedVisit, ...]
Ranked = tuple[int, ...]
MOST_CHOICES = 50_000


class JointTrial:
    """``rest``: the plan without the visits that are tried, which the day has."""

    def __init__(self, day: Day, rest: Plan, visits: Sequence[Visit]) -> None:
        self.day = day
        self.rest = rest
        self.visits = visits
        self._pair = cache(lambda one, other: self._keeps(self._ways[one[0]][one[1]], self._ways[other[0]][other[1]]))
        self._ways = [[each for each in self._every_placing(visit) if self._keeps(each)] for visit in visits]

    def small(self) -> bool:
        """Whether there are few enough choices to try them all."""
        return prod(len(ways) for ways in self._ways) <= MOST_CHOICES

    def least(self, key: Callable[[Chosen], Hashable], rank: Callable[[Chosen], Ranked]) -> dict[Hashable, Ranked]:
        """The lowest rank for each key (None: not wanted) of all choices that keep every rule."""
        groups: dict[Hashable, dict[Ranked, list[tuple[int, ...]]]] = {}
        for numbers in self._candidates():
            chosen = self._chosen(numbers)
            name = key(chosen)
            if name is not None:
                groups.setdefault(name, {}).setdefault(rank(chosen), []).append(numbers)
        found = {}
        for name, ranks in groups.items():
            for each in sorted(ranks):
                if any(self._stands(numbers) for numbers in ranks[each]):
                    found[name] = each
                    break
        return found

    def _candidates(self) -> Iterator[tuple[int, ...]]:
        """Every choice; of three or more visits, those of which no two break a rule together."""
        if len(self.visits) > 2:
            return self._compatible(())
        return product(*(range(len(ways)) for ways in self._ways))

    def _chosen(self, numbers: tuple[int, ...]) -> Chosen:
        return tuple(self._ways[k][n] for k, n in enumerate(numbers))

    def _stands(self, numbers: tuple[int, ...]) -> bool:
        pairs = combinations(enumerate(numbers), 2)
        return all(self._pair(*pair) for pair in pairs) and self._keeps(*self._chosen(numbers), battery=True)

    def _compatible(self, numbers: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        k = len(numbers)
        if k == len(self.visits):
            yield numbers
            return
        for n in range(len(self._ways[k])):
            if all(self._pair((i, number), (k, n)) for i, number in enumerate(numbers)):
                yield from self._compatible((*numbers, n))

    def _every_placing(self, visit: Visit) -> Iterator[PlacedVisit]:
        return visit_placings(visit, [self._part_placings(visit, index) for index in range(len(visit.parts))])

    def _part_placings(self, visit: Visit, index: int) -> list[Placing]:
        """Those of a part; of several, those that are right as the visit's only part."""
        part = visit.parts[index]
        placings = list(part_placings(self.day, part))
        if len(visit.parts) == 1:
            return placings
        fixed = None if visit.fixed is None else Fixed(parts=(visit.fixed_part(index),))
        alone = replace(visit, parts=(part,), fixed=fixed)
        day = replace(self.day, visits=tuple(alone if each.id == visit.id else each for each in self.day.visits))
        return [
            (placed, who)
            for placed, who in placings
            if self._right(day, [PlacedVisit(id=visit.id, therapist=who, parts=(placed,))], battery=False)
        ]

    def _keeps(self, *chosen: PlacedVisit, battery: bool = False) -> bool:
        return self._right(self.day, chosen, battery=battery)

    def _right(self, day: Day, chosen: Sequence[PlacedVisit], *, battery: bool) -> bool:
        plan = replace(self.rest, visits=(*self.rest.visits, *chosen))
        rules = (rule for rule in RULES if battery or rule.name != "battery")
        ids = {placed.id for placed in plan.visits}
        if not battery:  # fixed visits that are still to come are missed on whole plans only
            day = replace(day, visits=tuple(visit for visit in day.visits if visit.id in ids))
        return not any(True for rule in rules for _ in rule.check(day, plan))
