"""What a stay holds besides channels, and for how long after it: items until clean, bays until ready."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from solver.clock import Interval
from solver.problem import Day
from solver.stays import Stay


@dataclass(frozen=True, slots=True)
class Hold:
    """A stay's hold of an item or a bay, and the time after it in which nobody else may have it."""

    id: str
    stay: Stay
    held: Interval
    after: Interval


def item_holds(day: Day, stays: Sequence[Stay]) -> list[Hold]:
    """Every hold of every item, by start. An item is held from the first part of the stay that names it to the last."""
    found = []
    for stay in stays:
        spans: dict[tuple[str, str], list[Interval]] = defaultdict(list)
        for part, placed in stay.parts:
            for pool, items in placed.items.items():
                for item in items:
                    spans[pool, item].append(Interval(placed.start, placed.start + part.minutes))
        for (pool, item), intervals in spans.items():
            held = Interval(min(i.start for i in intervals), max(i.end for i in intervals))
            turnaround = day.applicator_by_id[pool].turnaround_min
            found.append(Hold(item, stay, held, Interval(held.end, held.end + turnaround)))
    return sorted(found, key=lambda hold: (hold.held, hold.id))


def bay_holds(day: Day, stays: Sequence[Stay]) -> list[Hold]:
    """Every hold of every bay, by start."""
    ready = day.bay_turnover_min
    return [
        Hold(stay.bay, stay, stay.interval, Interval(stay.interval.end, stay.interval.end + ready)) for stay in stays
    ]
