"""Chains of days with so many days between them, the cheapest by dynamic programming (one pass a session)."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from datetime import date
from heapq import nsmallest
from math import inf
from typing import NamedTuple


class Chain(NamedTuple):
    """``days``: indices in order. ``cost``: their costs' sum."""

    cost: float
    days: tuple[int, ...]


class Chains:
    """Of days in order of time: from one to the next at least ``least`` and at most ``most`` days (None: no limit)."""

    def __init__(self, dates: Sequence[date], least: int, most: int | None) -> None:
        days = [day.toordinal() for day in dates]
        self._before = [
            (0 if most is None else bisect_left(days, day - most), bisect_right(days, day - least)) for day in days
        ]
        """For each day, between which indices the one before it lies."""

    def longest(self, usable: Sequence[bool], most: int) -> int:
        """How many of the usable days, at most so many, a chain can have."""
        reached, count = list(usable), 0
        while any(reached) and count < most:
            count += 1
            reached = [use and any(reached[low:high]) for use, (low, high) in zip(usable, self._before, strict=True)]
        return count

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
                reached = list(costs)
            else:
                done = passes[-1]
                reached = [
                    cost + min(done[low:high]) if cost < inf and low < high else inf
                    for cost, (low, high) in zip(costs, self._before, strict=True)
                ]
            passes.append(reached)
            if min(reached) + left > at_most:
                return None
        best = min(passes[-1])
        if best == inf:
            return None
        days = [passes[-1].index(best)]
        for done in reversed(passes[:-1]):
            low, high = self._before[days[0]]
            days.insert(0, done.index(min(done[low:high]), low, high))
        return Chain(best, tuple(days))
