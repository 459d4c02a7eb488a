"""Who holds what under which name: for each set of things that are alike, what of a plan holds them, and how long."""

from collections.abc import Collection, Hashable, Iterator, Sequence
from typing import NamedTuple

from solver.clinic import Applicator
from solver.clock import Interval
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.visits import Visit


class Spot(NamedTuple):
    """Where names stand in a plan: the bay of a visit's part, the channels of an output, the items of a pool."""

    visit: str
    part: int
    kind: str
    of: str = ""


class Held(NamedTuple):
    """One thing under its name: whose it is, the minutes in which nobody else may have it, the spots that name it.

    Two of one owner are to trade names together, whatever their minutes: an item that a stay names again later was held
    all the while.
    """

    name: str
    owner: Hashable
    interval: Interval
    spots: tuple[Spot, ...]


class _Stay(NamedTuple):
    visit: Visit
    placed: PlacedVisit
    indices: tuple[int, ...]

    @property
    def owner(self) -> Hashable:
        return self.visit.id, self.indices

    def interval(self, indices: Sequence[int], after: int = 0) -> Interval:
        """From the start of the first of the parts to the end of the last, and some minutes after."""
        first, last = indices[0], indices[-1]
        return Interval(
            self.placed.parts[first].start, self.placed.parts[last].start + self.visit.parts[last].minutes + after
        )


def held_alike(day: Day, plan: Plan) -> Iterator[tuple[Collection[str], list[Held]]]:
    """For each set of things that are alike, their names and who holds them."""
    stays = [
        _Stay(day.visit_by_id[placed.id], placed, indices)
        for placed in plan.visits
        for indices in day.visit_by_id[placed.id].stays
    ]
    for place in day.places:
        held = (_bay(day, stay) for stay in stays)
        yield place.bays, [one for one in held if one.name in place.bays]
    for pool in day.applicators:
        yield pool.items, [one for stay in stays for one in _items(stay, pool)]
    for unit in day.units:
        on_unit = [one for stay in stays for one in _channels(stay, unit.id)]
        alike: dict[frozenset[str], list[str]] = {}
        for channel in unit.channels:
            alike.setdefault(frozenset(channel.drives), []).append(channel.id)
        for ids in alike.values():
            yield ids, [one for one in on_unit if one.name in ids]


def _bay(day: Day, stay: _Stay) -> Held:
    name = stay.placed.parts[stay.indices[0]].bay
    spots = tuple(Spot(stay.visit.id, number, "bay") for number in stay.indices)
    return Held(name, stay.owner, stay.interval(stay.indices, day.bay_turnover_min), spots)


def _items(stay: _Stay, pool: Applicator) -> Iterator[Held]:
    """A stay holds an item from the first part that names it to the last; then it is cleaned and dries."""
    for item in pool.items:
        naming = [number for number in stay.indices if item in stay.placed.parts[number].items.get(pool.id, ())]
        if naming:
            spots = tuple(Spot(stay.visit.id, number, "items", pool.id) for number in naming)
            yield Held(item, stay.owner, stay.interval(naming, pool.turnaround_min), spots)


def _channels(stay: _Stay, unit: str) -> Iterator[Held]:
    for number in stay.indices:
        placed = stay.placed.parts[number]
        if placed.unit != unit:
            continue
        for output, ids in placed.channels.items():
            spots = (Spot(stay.visit.id, number, "channels", output),)
            for id in ids:
                yield Held(id, (stay.visit.id, number), stay.interval([number]), spots)
