"""When a resource is free: either it is held by somebody, or so many of it are left."""

from bisect import bisect_left
from collections.abc import Hashable, Sequence

from solver.clock import Interval
from solver.masks.bits import ALL, known_runs, span, union


class Occupancy:
    """A resource that one holder has at a time. Holders can be added and taken off; runs of free minutes are cached."""

    __slots__ = ("_base", "_free", "_held", "_runs")

    def __init__(self, base: int = ALL) -> None:
        """``base``: the minutes at which the resource exists at all."""
        self._base = base
        self._held: dict[Hashable, int] = {}
        self._free = base
        self._runs: dict[int, int] = {}

    @property
    def free(self) -> int:
        return self._free

    def add(self, holder: Hashable, mask: int) -> None:
        self._held[holder] = self._held.get(holder, 0) | mask
        self._free &= ~mask
        self._runs.clear()

    def remove(self, holder: Hashable) -> None:
        if self._held.pop(holder, 0):
            self._free = self._base & ~union(self._held.values())
            self._runs.clear()

    def holders(self, mask: int) -> dict[Hashable, int]:
        """Who holds the resource at any minute of the mask, each with all the minutes it holds."""
        return {holder: held for holder, held in self._held.items() if held & mask}

    def runs(self, minutes: int) -> int:
        """The minutes from which the resource is free for so long."""
        found = self._runs.get(minutes)
        return known_runs(self._free, minutes, self._runs) if found is None else found


class Duty(Occupancy):
    """A member of staff: free, and for phases within one interval of their hours (touching ones are not joined)."""

    __slots__ = ("_hours", "_within")

    def __init__(self, hours: Sequence[Interval]) -> None:
        super().__init__()
        self._hours = hours
        self._within: dict[int, int] = {}

    def shifts(self, minutes: int) -> int:
        """The minutes from which they are free for so long within their hours."""
        within = self._within.get(minutes)
        if within is None:
            within = self._within[minutes] = union(span(start, end - minutes + 1) for start, end in self._hours)
        return within & self.runs(minutes)


class Headroom:
    """How many of a resource are left at each minute, up to ``most``; what is taken beyond that is owed there."""

    __slots__ = ("_at_least", "_known", "_owed")

    def __init__(self, most: int) -> None:
        # _at_least[k]: the minutes with at least k left, were so many more there as are owed at any minute.
        self._at_least = [ALL] * (most + 1)
        self._owed = 0
        self._known: dict[int, dict[int, int]] = {}

    def take(self, mask: int, n: int = 1) -> None:
        """Take ``n`` at the minutes of the mask."""
        if n <= 0 or not mask:
            return
        levels, rest = self._at_least, ~mask
        first = bisect_left(range(len(levels)), 1, key=lambda k: mask & ~levels[k] != 0) - n
        if first < 1:
            levels[:0] = [ALL] * (1 - first)
            self._owed += 1 - first
            first = 1
        for k in range(first, len(levels)):
            if not levels[k] & mask:
                break
            above = levels[k + n] if k + n < len(levels) else 0
            levels[k] = (levels[k] & rest) | (above & mask)
        self._known.clear()

    def give(self, mask: int, n: int = 1) -> None:
        """Give ``n`` back that were taken at the minutes of the mask."""
        if n <= 0 or not mask:
            return
        levels, rest = self._at_least, ~mask
        for k in range(len(levels) - 1, 0, -1):
            below = levels[k - n] & mask if k > n else mask
            if below:
                if not mask & ~levels[k]:
                    break
                levels[k] = (levels[k] & rest) | below
        self._known.clear()

    def at_least(self, n: int) -> int:
        """The minutes at which at least ``n`` are left."""
        if n <= 0:
            return ALL
        level = n + self._owed
        return self._at_least[level] if level < len(self._at_least) else 0

    def runs(self, n: int, minutes: int) -> int:
        """The minutes from which at least ``n`` are left for so long."""
        known = self._known.setdefault(n, {})
        found = known.get(minutes)
        return known_runs(self.at_least(n), minutes, known) if found is None else found
