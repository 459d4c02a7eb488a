"""What a stay holds besides channels, and for how long after it: items until clean, bays until ready; and moves."""

from collections import defaultdict
from dataclasses import dataclass

from app.views.parts import Planned
from solver.clock import Interval
from solver.stays import Stay


@dataclass(frozen=True, slots=True)
class Hold:
    """A stay's hold of an item or a bay, and the time after it in which nobody else may have it."""

    id: str
    stay: Stay
    held: Interval
    after: Interval


def item_holds(planned: Planned) -> list[Hold]:
    """Every hold of every item, by start. An item is held from the first part of the stay that names it to the last."""
    found = []
    for stay in planned.stays:
        spans: dict[tuple[str, str], list[Interval]] = defaultdict(list)
        for part, placed in stay.parts:
            for pool, items in placed.items.items():
                for item in items:
                    spans[pool, item].append(Interval(placed.start, placed.start + part.minutes))
        for (pool, item), intervals in spans.items():
            held = Interval(min(i.start for i in intervals), max(i.end for i in intervals))
            turnaround = planned.day.applicator_by_id[pool].turnaround_min
            found.append(Hold(item, stay, held, Interval(held.end, held.end + turnaround)))
    return sorted(found, key=lambda hold: (hold.held, hold.id))


def bay_holds(planned: Planned) -> list[Hold]:
    """Every hold of every bay, by start."""
    ready = planned.day.bay_turnover_min
    return [
        Hold(stay.bay, stay, stay.interval, Interval(stay.interval.end, stay.interval.end + ready))
        for stay in planned.stays
    ]


@dataclass(frozen=True, slots=True)
class Move:
    """A unit's way from one place to the next, in the last minutes before the stay there."""

    unit: str
    minutes: Interval
    from_place: str
    to_place: str


def moves(planned: Planned) -> list[Move]:
    """Every move of every unit. The contract fixes when a unit is free, not when it is wheeled: it is drawn at the last
    moment that serves, which is also when the battery rule unplugs it."""
    found = []
    for unit in planned.day.units:
        stays = planned.unit_stays(unit.id)
        ends: dict[str, int] = {}
        last: Stay | None = None
        for stay in stays:
            if last is not None and stay.place != last.place:
                start = stay.interval.start
                leave = max(ends[last.place], start - planned.day.move_min)
                found.append(Move(unit.id, Interval(leave, start), last.place, stay.place))
            ends[stay.place] = max(ends.get(stay.place, 0), stay.interval.end)
            last = stay
    return found
