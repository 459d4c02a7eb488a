"""Each part has as many items as it needs, and an item is cleaned and dry before another stay has it.

Within a stay an item is held from the start of the first part that names it to the end of the last that does.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping

from solver.clinic import Applicator
from solver.clock import Interval
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import Stay, stays_of
from solver.verify.breach import Breach
from solver.verify.sweep import close_pairs
from solver.verify.walk import PartAt, parts_of


class ItemsHeld:
    name: RuleName = "applicator"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        for at in parts_of(day, plan):
            for text in (*self._needs(day, at), *self._known(day, at)):
                yield Breach(self.name, text)
        pools = {item: pool for pool in day.applicators for item in pool.items}
        holds: dict[str, list[tuple[Interval, Stay]]] = defaultdict(list)
        for stay in stays_of(day, plan):
            for item, hold in _holds(stay).items():
                if item in pools:
                    holds[item].append((hold, stay))
        for item, spans in holds.items():
            yield from self._turnaround(pools[item], item, spans)

    def _needs(self, day: Day, at: PartAt) -> Iterator[str]:
        for id, count in at.part.applicators.items():
            items = at.placed.items.get(id, ())
            if len(set(items)) != count or len(items) != count:
                given = f"{len(items)}" if len(set(items)) == len(items) else "one twice"
                yield f"{at} needs {count} of {day.applicator_by_id[id].name} and has {given}"
        for id, items in at.placed.items.items():
            if items and id not in at.part.applicators:
                yield f"{at} has {', '.join(items)} of {_pool_name(day.applicator_by_id, id)}, which it does not need"

    def _known(self, day: Day, at: PartAt) -> Iterator[str]:
        for id, items in at.placed.items.items():
            pool = day.applicator_by_id.get(id)
            for item in dict.fromkeys(items):
                if pool is not None and id in at.part.applicators and item not in pool.items:
                    yield f"{at}: there is no item {item!r} of {pool.name}"

    def _turnaround(self, pool: Applicator, item: str, holds: list[tuple[Interval, Stay]]) -> Iterator[Breach]:
        for (first, one), (second, other) in close_pairs(((hold[0], hold) for hold in holds), pool.turnaround_min):
            both = f"{one.visit.id} ({first}) and {other.visit.id} ({second})"
            if first.meets(second):
                text = f"{item} of {pool.name} is held by {both} at the same time"
            else:
                text = f"{item} of {pool.name} needs {pool.turnaround_min} minutes to be ready between {both}"
            yield Breach(self.name, text)


def _holds(stay: Stay) -> dict[str, Interval]:
    holds: dict[str, Interval] = {}
    for part, placed in stay.parts:
        start, end = placed.start, placed.start + part.minutes
        for items in placed.items.values():
            for item in items:
                hold = holds.get(item, Interval(start, end))
                holds[item] = Interval(min(hold.start, start), max(hold.end, end))
    return holds


def _pool_name(pools: Mapping[str, Applicator], id: str) -> str:
    return pools[id].name if id in pools else repr(id)
