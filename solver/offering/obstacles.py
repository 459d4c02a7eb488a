"""The obstacles of a visit at one start, over the choice that has the fewest; see ``solver/whynot.py``."""

from collections.abc import Iterator
from itertools import islice, product

from solver.clock import DAY_MIN, Interval
from solver.masks.choice import Choice
from solver.masks.ledger import Ledger
from solver.masks.shapes import Shape, Spaced
from solver.masks.waits import Offsets, offsets_by_wait
from solver.names import RuleName
from solver.offering.blocked_hands import BlockedHands
from solver.offering.blocked_items import blocked_items
from solver.offering.blocked_sites import BlockedSites
from solver.offering.obstacle import Obstacle, Obstacles, held, in_vain, merged, weight
from solver.sites import Site
from solver.visits import Visit

MOST_SPACINGS = 16
"""Ways to space the parts that are compared, the shortest wait first."""
MOST_SITES = 6
"""Sites that are compared for each stay of a visit with several, those with the fewest obstacles."""
TYING: tuple[RuleName, ...] = ("place", "applicator", "battery")
"""Rules that tie a visit's own stays and parts together."""


def obstacles(ledger: Ledger, visit: Visit, start: int) -> Obstacles:
    """The obstacles of the choice with the fewest; none where only what ties the visit's parts together is left."""
    shape = ledger.shape_of(visit)
    hands, sites = BlockedHands(ledger, visit), BlockedSites(ledger, visit, shape.fixed)
    found: list[Obstacles] = []
    for offsets in _spacings(shape, start):
        spaced = shape.spaced(offsets)
        every = [
            *_of_visit(ledger, shape, start, spaced),
            *hands.least(start, spaced),
            *_of_stays(sites, ledger.day.move_min, start, spaced),
            *blocked_items(ledger, visit, shape.fixed, start, spaced),
        ]
        found.append(merged(every))
    whole_day = in_vain("hours", "clinic", Interval(start, DAY_MIN), "the visit takes more than a day")
    return min(found, key=weight, default=(whole_day,))


def tying_rule(ledger: Ledger, visit: Visit, start: int) -> tuple[RuleName, str]:
    """The first rule that ties the visit's parts together without which it could start then, and what it is about."""
    for rule in TYING:
        choice = Choice(ledger, visit, frozenset([rule]))
        shape = choice.starts.shape
        for spaced in map(shape.spaced, islice(shape.spacings(), MOST_SPACINGS)):
            for member, chosen, mask in choice.starts.candidates(spaced):
                if mask >> start & 1 and choice.complete(start, spaced, member, chosen) is not None:
                    pools = [pool for part in visit.parts for pool in part.applicators]
                    return rule, max(pools, key=pools.count) if rule == "applicator" else "units"
    return "battery", "units"


def _spacings(shape: Shape, start: int) -> Iterator[Offsets]:
    """Some ways to space the parts: with what is fixed kept first; with longer waits than allowed where none is."""
    day, visit = shape.day, shape.visit
    within = list(islice(offsets_by_wait(day, visit), 20 * MOST_SPACINGS))
    within = within or list(islice(offsets_by_wait(day, visit, ["patient"]), 1))
    wanted = [fixed.start for fixed in shape.fixed]

    def off(offsets: Offsets) -> int:
        return sum(at not in (None, start + offset) for at, offset in zip(wanted, offsets, strict=True))

    yield from sorted(within, key=off)[:MOST_SPACINGS]


def _of_visit(ledger: Ledger, shape: Shape, start: int, spaced: Spaced) -> Iterator[Obstacle]:
    """Grid, opening hours, the patient's own time and other visits, and starts that are fixed."""
    day, visit = ledger.day, shape.visit
    wanted = Interval(start, start + spaced.total)
    if start % day.step_min:
        text = f"{wanted.start % day.step_min} minutes off the grid of {day.step_min} minutes"
        yield in_vain("grid", visit.id, wanted, f"the start is {text}")
    if not day.open_interval.covers(wanted):
        yield in_vain("hours", "clinic", wanted, f"{wanted} leaves the opening hours {day.open_interval}")
    if not any(free.covers(wanted) for free in day.visit_free(visit)):
        listed = ", ".join(str(free) for free in day.visit_free(visit)) or "never"
        yield in_vain("patient", visit.id, wanted, f"{wanted} is not within one free time of the patient ({listed})")
    if _overlong(visit, spaced):
        yield in_vain("patient", visit.id, wanted, "the parts cannot follow each other in time on the day's grid")
    yield from held("patient", visit.id, "the patient", ledger.patient[visit.patient], wanted)
    for part, fixed, offset in zip(visit.parts, shape.fixed, spaced.offsets, strict=True):
        if fixed.start not in (None, start + offset):
            minutes = Interval(start + offset, start + offset + part.minutes)
            yield in_vain("fixed", visit.id, minutes, f"part {part.id} is fixed at another time")


def _overlong(visit: Visit, spaced: Spaced) -> bool:
    """True where some part comes later after the one before than it may."""
    ends = [offset + part.minutes for part, offset in zip(visit.parts, spaced.offsets, strict=True)]
    return any(
        part.max_wait_min is not None and offset - end > part.max_wait_min
        for part, offset, end in zip(visit.parts[1:], spaced.offsets[1:], ends, strict=False)
    )


def _of_stays(sites: BlockedSites, move_min: int, start: int, spaced: Spaced) -> Obstacles:
    """The fewest obstacles of sites between which the visit's own stays leave units the time to move."""
    ranked = [sites.ranked(start, stay, spaced) for stay in spaced.stays]
    if not all(ranked):
        wanted = Interval(start, start + spaced.total)
        return (in_vain("unit", "units", wanted, "no unit may stand at any place"),)
    if len(ranked) == 1:
        return ranked[0][0][1]
    ways = [way for way in product(*(some[:MOST_SITES] for some in ranked)) if _may_move(way, move_min, spaced)]
    ways = ways or list(product(*(some[:1] for some in ranked)))
    return min((tuple(each for _, found in way for each in found) for way in ways), key=weight)


def _may_move(way: tuple[tuple[Site, Obstacles], ...], move_min: int, spaced: Spaced) -> bool:
    return all(
        one.unit.id != other.unit.id
        or one.place.id == other.place.id
        or spaced.stays[j].first - spaced.stays[i].first - spaced.stays[i].length >= move_min
        for j, (other, _) in enumerate(way)
        for i, (one, _) in enumerate(way[:j])
    )
