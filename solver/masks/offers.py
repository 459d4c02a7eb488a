"""The best ways to add one visit to a plan in which nothing else changes."""

import heapq
from collections.abc import Collection, Iterator
from itertools import islice
from random import Random

from solver.aims import Costs, costs_of
from solver.masks.bits import ALL, minutes_of, nearest, span
from solver.masks.chain import Chain
from solver.masks.choice import Choice
from solver.masks.groups import Group, groups_of, whole_group
from solver.masks.ledger import Ledger
from solver.masks.shapes import NOTHING, Spaced, Without
from solver.masks.starts import Starts
from solver.names import AimName
from solver.outline import Outline
from solver.problem import Day
from solver.schedule import PlacedVisit
from solver.visits import Visit

MOST_SPACINGS = 400
"""Ways to space a visit's parts that are looked at: all of them for two parts with a longest wait."""
FIRST_SPACINGS = 12
"""The first of them are tried at once; with rules left aside, to see what stands in the way, no more are."""
MOST_PARTS = 3
"""With more parts, all but the first are put one after the other."""
MOST_CHAINS = 60
"""First starts from which the parts are put one after the other."""
ENOUGH_SPACINGS = 4
"""Ways to space that are still looked at after the first that fits."""
MOST_TRIES = 200
"""Starts that are completed before giving up: completing fails only on batteries, items handed on and own stays."""

TIMED: Collection[AimName] = ("stable", "wish")
"""Aims that look at starts, and for some visits only."""
MANY_VISITS = 150
"""With more of them whoever wishes for no time begins at any when offered at random: early they stand in the way of
those who wish to come then. With fewer, close together is better: the hours that they leave are used."""
TIMES_ONLY = 0.5
"""How often an offer at random looks at times alone: a wished therapist is then no better than another."""


def best_offer(
    ledger: Ledger,
    visit: Visit,
    random: Random | None = None,
    without: Without = NOTHING,
    within: int = ALL,
    anywhere: bool = False,
) -> PlacedVisit | None:
    """The offer that adds least to the day's aims, in their order; ties as they come, or at random.

    ``within``: the starts that are looked at. ``anywhere``: any of them is as good as another, at random only.
    """
    choice = Choice(ledger, visit, without, random)
    choice.starts.within = within
    tries = 0
    ranked = _shuffled(choice.starts, random) if random and anywhere else _ranked(choice.starts, random)
    for start, group in ranked:
        for member, sites in group.at(start, random):
            placed = choice.complete(start, group.spaced, member, sites)
            if placed is not None:
                return placed
            tries += 1
            if tries == MOST_TRIES:
                return None
    return None


def _ranked(starts: Starts, random: Random | None) -> Iterator[tuple[int, Group]]:
    """Starts by their costs, each with who and where costs the same; of each such group the nearest start first."""
    day, visit = starts.day, starts.visit
    target = _target(starts, random)
    queue: list[tuple[Costs, float, int, int, int]] = []
    groups: list[Group] = []
    bare = visit.minutes

    def push(number: int, mask: int) -> None:
        group = groups[number]
        spaced, member, sites = group.spaced, group.members[0][0], group.sites[0].sites
        for start in nearest(mask, target):
            outline = Outline(
                start,
                start + spaced.total,
                sites[0].unit.id if sites else "",
                member.id if member else None,
                spaced.total - bare,
            )
            tie = random.random() if random else 0.0
            # Each side of the target goes on by itself, so that no start is met twice.
            side = mask & (span(0, start + 1) if start < target else ~span(0, start))
            costs = costs_of(day, visit, outline)
            heapq.heappush(queue, (costs[:counted], tie, number, start, side))

    counted = _counted(day, random)
    timed = day.aims.index("wait") if "wait" in day.aims else len(day.aims)
    fitting = 0
    for spaced in _spacings(starts, target):
        found = groups_of(starts, spaced)
        if not found:
            continue
        fitting += 1
        for group in found:
            groups.append(group)
            push(len(groups) - 1, group.starts)
        if fitting > ENOUGH_SPACINGS or (queue and not any(queue[0][0][:timed])):
            break  # longer waits could only add to the aim ``wait``
    while queue:
        _, _, number, start, side = heapq.heappop(queue)
        yield start, groups[number]
        rest = side & groups[number].starts & ~span(start, start + 1)
        if rest:
            push(number, rest)


def _shuffled(starts: Starts, random: Random) -> Iterator[tuple[int, Group]]:
    """The starts of the first ways to space that fit, in any order."""
    spacings = _spacings(starts, _target(starts, random))
    fitting = (group for spaced in spacings if (group := whole_group(starts, spaced)) is not None)
    found = [(start, group) for group in islice(fitting, ENOUGH_SPACINGS) for start in minutes_of(group.starts)]
    random.shuffle(found)
    yield from found


def _spacings(starts: Starts, target: int) -> Iterator[Spaced]:
    """The ways to space the visit's parts that are looked at, the shortest waits first.

    Once the first do not fit, those are passed over at which some part could not even start alone; and where there are
    too many, the parts are put one after the other, as soon as each can start.
    """
    shape, chain = starts.shape, Chain(starts)
    few = starts.without or len(starts.visit.parts) > MOST_PARTS
    for number, offsets in enumerate(shape.spacings()):
        if number == (FIRST_SPACINGS if few else MOST_SPACINGS):
            break
        if number < FIRST_SPACINGS or chain.starts_of(offsets):
            yield shape.spaced(offsets)
    else:
        return
    if not starts.without:
        firsts = sorted(minutes_of(chain.alone[0]), key=lambda start: abs(start - target))
        for start in firsts[:MOST_CHAINS]:
            found = chain.from_start(start)
            if found is not None:
                yield shape.spaced(found)


def _counted(day: Day, random: Random | None) -> int:
    """How many of the aims decide: at random, now and then only those up to the last that looks at starts."""
    timed = [number for number, aim in enumerate(day.aims, start=1) if aim in TIMED]
    return timed[-1] if timed and random is not None and random.random() < TIMES_ONLY else len(day.aims)


def target_of(day: Day, visit: Visit, aim: AimName) -> int | None:
    """The start that the aim would like best, where every minute away from it costs one; None where it is not so."""
    told = day.published_by_id.get(visit.id)
    match aim:
        case "stable" if told is not None and told.parts:
            return told.parts[0].start
        case "wish":
            return visit.wish
    return None


def _target(starts: Starts, random: Random | None) -> int:
    """The start that the first aim which looks at starts would like best.

    On a day of many visits, some with a wish, at random any where no aim before ``finish`` looks at this one's.
    """
    day = starts.day
    for aim in day.aims:
        if aim == "finish":
            break
        target = target_of(day, starts.visit, aim)
        if target is not None:
            return target
    return random.randrange(*_from_to(starts)) if random and _early_is_wanted(day) else 0


def _early_is_wanted(day: Day) -> bool:
    """True where others may wish to come early, and the day has quiet hours as well."""
    wanted = (target_of(day, visit, aim) for aim in TIMED if aim in day.aims for visit in day.visits)
    return len(day.visits) > MANY_VISITS and any(target is not None for target in wanted)


def _from_to(starts: Starts) -> tuple[int, int]:
    """The first start that is looked at, and the minute after the last."""
    day = starts.day
    within = starts.within & span(day.open, day.close)
    return ((within & -within).bit_length() - 1, within.bit_length()) if within else (day.open, day.close)
