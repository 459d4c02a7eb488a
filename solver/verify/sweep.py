"""Sweeps over half-open intervals: which of them come too close, and when a sum of changes is above zero."""

from collections.abc import Iterable, Iterator, Mapping
from typing import TypeVar

from solver.clock import Interval

T = TypeVar("T")


def close_pairs(spans: Iterable[tuple[Interval, T]], gap: int = 0) -> Iterator[tuple[T, T]]:
    """Pairs of which the later (by start) starts before the earlier one's end plus ``gap`` minutes."""
    active: list[tuple[int, T]] = []
    for (start, end), thing in sorted(spans, key=lambda span: span[0]):
        active = [(free, other) for free, other in active if start < free]
        for _, other in active:
            yield other, thing
        active.append((end + gap, thing))


def above_zero(changes: Mapping[int, int], level: int = 0) -> Iterator[tuple[Interval, int]]:
    """Each longest run of minutes in which ``level`` plus all changes so far is above zero, with its peak."""
    begun, peak = None, 0
    for minute in sorted(changes):
        level += changes[minute]
        if level > 0:
            begun, peak = (minute, level) if begun is None else (begun, max(peak, level))
        elif begun is not None:
            yield Interval(begun, minute), peak
            begun = None
