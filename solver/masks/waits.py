"""The ways in which a visit's parts can follow each other: its parts as one rigid body for each."""

import heapq
from collections.abc import Collection, Iterator

from solver.clock import DAY_MIN
from solver.names import RuleName
from solver.problem import Day
from solver.visits import Visit

Offsets = tuple[int, ...]
"""Minutes from the visit's start to each part's start; the first is 0, all are multiples of the day's step."""


def offsets_by_wait(day: Day, visit: Visit, without: Collection[RuleName] = ()) -> Iterator[Offsets]:
    """Every way to space the visit's parts on the grid within its longest waits, the shortest wait in all first.

    ``without``: rules that are left aside; without ``grid`` parts follow to the minute.

    A visit's length is bounded by its longest free interval, so the ways are finitely many; with several parts without
    a longest wait they are many, and a caller takes as many as it wants.
    """
    timed = "patient" not in without
    longest = max((free.minutes for free in day.visit_free(visit)), default=0) if timed else DAY_MIN
    step, parts = (1 if "grid" in without else day.step_min), visit.parts

    def offsets(steps: tuple[int, ...]) -> Offsets | None:
        """The offsets with so many steps of wait, beyond what the grid asks, before each further part."""
        found = [0]
        for before, part, extra in zip(parts[:-1], parts[1:], steps, strict=True):
            end = found[-1] + before.minutes
            start = -(-end // step) * step + extra * step
            if timed and part.max_wait_min is not None and start - end > part.max_wait_min:
                return None
            found.append(start)
        return tuple(found) if found[-1] + parts[-1].minutes <= longest else None

    queue = [(0, (0,) * (len(parts) - 1))]
    seen = {queue[0][1]}
    while queue:
        total, steps = heapq.heappop(queue)
        found = offsets(steps)
        if found is None:
            continue
        yield found
        for i in range(len(steps)):
            further = (*steps[:i], steps[i] + 1, *steps[i + 1 :])
            if further not in seen:
                seen.add(further)
                heapq.heappush(queue, (total + 1, further))
