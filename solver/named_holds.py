"""Who holds what under which name: for each set of things that are alike, what of a plan holds them, and how long."""

from collections.abc import Collection, Hashable, Iterator, Sequence
from typing import NamedTuple

from solver.clinic import Applicator
from solver.clock import Interval
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import Stay, visit_stays


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


def held_alike(day: Day, plan: Plan) -> Iterator[tuple[Collection[str], list[Held]]]:
    """For each set of things that are alike, their names and who holds them."""
    visits = [(day.visit_by_id[placed.id], placed) for placed in plan.visits]
    stays = [pair for visit, placed in visits for pair in zip(visit.stays, visit_stays(visit, placed), strict=True)]
    for place in day.places:
        held = (_bay(day, numbers, stay) for numbers, stay in stays)
        yield place.bays, [one for one in held if one.name in place.bays]
    for pool in day.applicators:
        yield pool.items, [one for numbers, stay in stays for one in _items(pool, numbers, stay)]
    for unit in day.units:
        on_unit = [one for numbers, stay in stays if stay.unit == unit.id for one in _channels(numbers, stay)]
        alike: dict[frozenset[str], list[str]] = {}
        for channel in unit.channels:
            alike.setdefault(frozenset(channel.drives), []).append(channel.id)
        for ids in alike.values():
            yield ids, [one for one in on_unit if one.name in ids]


def _bay(day: Day, numbers: Sequence[int], stay: Stay) -> Held:
    start, end = stay.interval
    spots = tuple(Spot(stay.visit.id, number, "bay") for number in numbers)
    return Held(stay.bay, (stay.visit.id, numbers), Interval(start, end + day.bay_turnover_min), spots)


def _items(pool: Applicator, numbers: Sequence[int], stay: Stay) -> Iterator[Held]:
    """A stay holds an item from the first part that names it to the last; then it is cleaned and dries."""
    for item in pool.items:
        naming = [
            (Spot(stay.visit.id, number, "items", pool.id), placed.start, placed.start + part.minutes)
            for number, (part, placed) in zip(numbers, stay.parts, strict=True)
            if item in placed.items.get(pool.id, ())
        ]
        if naming:
            interval = Interval(naming[0][1], naming[-1][2] + pool.turnaround_min)
            yield Held(item, (stay.visit.id, numbers), interval, tuple(spot for spot, _, _ in naming))


def _channels(numbers: Sequence[int], stay: Stay) -> Iterator[Held]:
    for number, (part, placed) in zip(numbers, stay.parts, strict=True):
        interval = Interval(placed.start, placed.start + part.minutes)
        for output, ids in placed.channels.items():
            spots = (Spot(stay.visit.id, number, "channels", output),)
            for id in ids:
                yield Held(id, (stay.visit.id, number), interval, spots)
