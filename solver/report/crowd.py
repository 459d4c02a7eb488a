"""How many of some intervals run at once, minute by minute of a window."""

from collections import Counter
from collections.abc import Iterable

from solver.clock import Interval


def minutes_at_once(intervals: Iterable[Interval], window: Interval) -> dict[int, int]:
    """Minutes of the window in which exactly 0, 1, 2 … of the intervals run, up to the most; they sum to the window."""
    changes: Counter[int] = Counter({window.start: 0, window.end: 0})
    for start, end in intervals:
        start, end = max(start, window.start), min(end, window.end)
        if start < end:
            changes[start] += 1
            changes[end] -= 1
    minutes: Counter[int] = Counter()
    running, since = 0, window.start
    for minute in sorted(changes):
        minutes[running] += minute - since
        running, since = running + changes[minute], minute
    most = max((count for count, length in minutes.items() if length), default=0)
    return {count: minutes[count] for count in range(most + 1)}
