"""Sets of minutes as integers: bit t is set where minute t belongs to the set."""

from collections.abc import Iterable, Iterator, Sequence
from functools import cache

from solver.clock import DAY_MIN

ALL = (1 << DAY_MIN) - 1


def span(start: int, end: int) -> int:
    """The minutes from ``start`` up to, and not including, ``end``, cut to the day."""
    if start < 0:
        start = 0
    if end > DAY_MIN:
        end = DAY_MIN
    return ((1 << (end - start)) - 1) << start if end > start else 0


def runs(free: int, minutes: int) -> int:
    """The minutes at which a run of that many minutes of the set begins (by doubling, log2 steps)."""
    for step in _doublings(minutes):
        free &= free >> step
    return free


def known_runs(free: int, minutes: int, known: dict[int, int]) -> int:
    """The same, from the runs of this set that are known by their minutes; what it finds on the way is known then.

    Runs of 1, 2, 4, … minutes are found once: each further length is one step from the longest of them.
    """
    if minutes <= 1:
        return free
    half = 1 << ((minutes - 1).bit_length() - 1)
    found = known.get(half)
    if found is None:
        found, reached = free, 1
        while reached < half:
            found &= found >> reached
            reached *= 2
            known[reached] = found
    found = known[minutes] = found & (found >> (minutes - half))
    return found


@cache
def _doublings(minutes: int) -> tuple[int, ...]:
    """The shifts that reach a run of so many minutes."""
    steps, reached = [], 1
    while reached < minutes:
        steps.append(min(reached, minutes - reached))
        reached += steps[-1]
    return tuple(steps)


def at_least(masks: Sequence[int], n: int) -> int:
    """The minutes that lie in at least ``n`` of the sets."""
    if n <= 0:
        return ALL
    if n > len(masks):
        return 0
    if n == 1:
        return union(masks)
    reached = [ALL, *([0] * n)]
    for mask in masks:
        for k in range(n, 0, -1):
            reached[k] |= reached[k - 1] & mask
    return reached[n]


def union(masks: Iterable[int]) -> int:
    result = 0
    for mask in masks:
        result |= mask
    return result


def minutes_of(mask: int) -> Iterator[int]:
    """The minutes of the set, in order."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest


def nearest(mask: int, minute: int) -> list[int]:
    """The minutes of the set that lie closest to ``minute`` on either side: at most one before and one from it on."""
    found = []
    before = mask & ((1 << minute) - 1) if minute > 0 else 0
    if before:
        found.append(before.bit_length() - 1)
    after = mask >> max(minute, 0)
    if after:
        found.append((after & -after).bit_length() - 1 + max(minute, 0))
    return found
