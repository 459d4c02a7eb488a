"""The best ways to add one visit to a plan in which nothing else changes."""

import heapq
from collections.abc import Iterator
from random import Random

from solver.aims import costs_of
from solver.clinic import StaffMember
from solver.masks.bits import nearest, span
from solver.masks.choice import Choice
from solver.masks.ledger import Ledger
from solver.masks.starts import NOTHING, Starts, Without
from solver.masks.waits import Offsets, offsets_by_wait
from solver.outline import Outline
from solver.problem import Day
from solver.schedule import PlacedVisit
from solver.sites import Site
from solver.visits import Visit

Costs = tuple[int, ...]

MOST_SPACINGS = 400
"""Ways to space a visit's parts that are looked at: all of them for two parts with a longest wait."""
ENOUGH_SPACINGS = 4
"""Ways to space that are still looked at after the first that fits."""
MOST_TRIES = 200
"""Starts that are completed before giving up: completing fails only on batteries, items handed on and own stays."""


def best_offer(
    ledger: Ledger, visit: Visit, random: Random | None = None, without: Without = NOTHING
) -> PlacedVisit | None:
    """The offer that adds least to the day's aims, in their order; ties as they come, or at random."""
    choice = Choice(ledger, visit, without)
    for tries, (_, start, offsets, member, sites) in enumerate(_ranked(choice.starts, random)):
        if tries == MOST_TRIES:
            break
        placed = choice.complete(start, offsets, member, sites)
        if placed is not None:
            return placed
    return None


def _ranked(
    starts: Starts, random: Random | None
) -> Iterator[tuple[Costs, int, Offsets, StaffMember | None, tuple[Site, ...] | None]]:
    """Candidates by their costs; of each therapist, site and spacing the best start first, then its next best."""
    day, visit = starts.day, starts.visit
    target = _target(day, visit)
    queue: list[tuple[Costs, float, int, int, int]] = []
    sources: list[tuple[Offsets, StaffMember | None, tuple[Site, ...] | None]] = []

    def push(source: int, mask: int) -> None:
        offsets, member, sites = sources[source]
        wait = offsets[-1] + visit.parts[-1].minutes - sum(part.minutes for part in visit.parts)
        for start in nearest(mask, target):
            outline = Outline(
                start,
                start + offsets[-1] + visit.parts[-1].minutes,
                sites[0].unit.id if sites else "",
                member.id if member else None,
                wait,
            )
            tie = random.random() if random else 0.0
            # Each side of the target goes on by itself, so that no start is met twice.
            side = mask & (span(0, start + 1) if start < target else ~span(0, start))
            heapq.heappush(queue, (costs_of(day, visit, outline), tie, source, start, side))

    timed = day.aims.index("wait") if "wait" in day.aims else len(day.aims)
    fitting = 0
    for spacing, offsets in enumerate(offsets_by_wait(day, visit, starts.without)):
        if spacing == MOST_SPACINGS or fitting > ENOUGH_SPACINGS:
            break
        found = False
        for member, sites, mask in starts.candidates(offsets):
            sources.append((offsets, member, sites))
            push(len(sources) - 1, mask)
            found = True
        fitting += found
        if queue and not any(queue[0][0][:timed]):
            break  # longer waits could only add to the aim ``wait``
    while queue:
        costs, _, source, start, side = heapq.heappop(queue)
        yield costs, start, *sources[source]
        rest = side & ~span(start, start + 1)
        if rest:
            push(source, rest)


def _target(day: Day, visit: Visit) -> int:
    """The start that the first aim which looks at starts would like best."""
    told = day.published_by_id.get(visit.id)
    for name in day.aims:
        if name == "stable" and told is not None and told.parts:
            return told.parts[0].start
        if name == "wish" and visit.wish is not None:
            return visit.wish
        if name == "finish":
            return 0
    return 0
