"""Chains of days with so many days between them, the cheapest by dynamic programming (one pass a session)."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from datetime import date
from heapq import nsmallest
from itertools import accumulate
from math import inf
from typing import NamedTuple


class Chain(NamedTuple):
    """``days``: indices in order. ``cost``: their costs' sum."""

    cost: float
    days: tuple[int, ...]


class Chains:
    """Of days in order of time: from one to the next at least ``least`` and at most ``most`` days (None: no limit).

    ``fixed``: dates that every chain has besides, in order, at no cost. The limits hold from a day of the chain to the
    fixed dates next to it too; between two fixed dates they need not.
    """

    def __init__(self, dates: Sequence[date], least: int, most: int | None, fixed: Sequence[date] = ()) -> None:
        days, stops = [day.toordinal() for day in dates], [day.toordinal() for day in fixed]

        def near(first: int, second: int) -> bool:
            return least <= second - first and (most is None or second - first <= most)

        passed = [bisect_right(stops, day) for day in days]
        self._begins = [not n or near(stops[n - 1], day) for n, day in zip(passed, days, strict=True)]
        """For each day, whether it may come next after the fixed date before it, or has none before it."""
        self._ends = [n == len(stops) or near(day, stops[n]) for n, day in zip(passed, days, strict=True)]
        self._since = [bisect_left(passed, n) for n in passed]
        """For each day, the first index that no fixed date parts from it."""
        self._before = [
            (max(since, 0 if most is None else bisect_left(days, day - most)), bisect_right(days, day - least))
            for day, since in zip(days, self._since, strict=True)
        ]
        """For each day, between which indices the one before it lies, where no fixed date is between them."""

    def longest(self, usable: Sequence[bool], most: int) -> int:
        """How many of the usable days, at most so many, a chain can have."""
        reached: Sequence[float] = [
            0 if use and start else inf for use, start in zip(usable, self._begins, strict=True)
        ]
        costs, found = [0 if use else inf for use in usable], 0
        for count in range(1, most + 1):
            if min(self._ended(reached), default=inf) == 0:
                found = count
            if min(reached, default=inf) == inf:
                break
            reached = self._next(reached, costs)
        return found

    def _ended(self, reached: Sequence[float]) -> list[float]:
        return [cost if ends else inf for cost, ends in zip(reached, self._ends, strict=True)]

    def _next(self, reached: Sequence[float], costs: Sequence[float]) -> list[float]:
        """What chains that are one day longer cost, by their last day."""
        least_ended = list(accumulate(self._ended(reached), min, initial=inf))
        return [
            cost
            + min(
                min(reached[low:high], default=inf),
                least_ended[since] if begins else inf,
            )
            if cost < inf
            else inf
            for cost, (low, high), since, begins in zip(costs, self._before, self._since, self._begins, strict=True)
        ]

    def _day_before(self, reached: Sequence[float], day: int) -> int:
        """The day before this one in a cheapest chain, where ``reached`` is what chains cost up to there."""
        low, high = self._before[day]
        there = [(reached[n], n) for n in range(low, high)]
        if self._begins[day]:
            there += [(reached[n], n) for n in range(self._since[day]) if self._ends[n]]
        return min(there)[1]

    def cheapest(self, costs: Sequence[float], count: int, at_most: float = inf) -> Chain | None:
        """The chain of so many days with the least sum, none above ``at_most``; of those, one that ends first.

        No cost is negative; a day of cost ``inf`` is not used.
        """
        ranked = nsmallest(count, costs)
        if len(ranked) < count or sum(ranked) > at_most or ranked[-1] == inf:
            return None
        left = sum(ranked)
        passes: list[list[float]] = []
        for number in range(count):
            left -= ranked[count - 1 - number]  # the days to come cost no less than the cheapest of all
            if number == 0:
                reached = [cost if begins else inf for cost, begins in zip(costs, self._begins, strict=True)]
            else:
                reached = self._next(passes[-1], costs)
            passes.append(reached)
            if min(reached) + left > at_most:
                return None
        ended = self._ended(passes[-1])
        best = min(ended)
        if best == inf or best > at_most:
            return None
        days = [ended.index(best)]
        for done in reversed(passes[:-1]):
            days.insert(0, self._day_before(done, days[0]))
        return Chain(best, tuple(days))
