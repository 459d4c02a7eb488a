"""A patient is there, is treated in the order of the parts without waiting too long, and is in one visit at a time."""

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from solver.clock import Interval, clock
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.verify.breach import Breach
from solver.verify.sweep import close_pairs
from solver.verify.walk import PartAt, parts_of


class Patient:
    name: RuleName = "patient"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        visits: dict[str, list[PartAt]] = defaultdict(list)
        for at in parts_of(day, plan):
            visits[at.visit.id].append(at)
        patients: dict[str, list[tuple[Interval, str]]] = defaultdict(list)
        for id, parts in visits.items():
            whole = Interval(min(at.interval.start for at in parts), max(at.interval.end for at in parts))
            patients[parts[0].visit.patient].append((whole, id))
            yield from self._free(day, parts[0], whole)
            yield from self._order(parts)
        for spans in patients.values():
            for one, other in close_pairs(spans):
                yield Breach(self.name, f"{one} and {other} are of one patient and overlap")

    def _free(self, day: Day, first: PartAt, whole: Interval) -> Iterator[Breach]:
        free = day.visit_free(first.visit)
        if not any(interval.covers(whole) for interval in free):
            listed = ", ".join(str(interval) for interval in free) or "never"
            yield Breach(self.name, f"{first.visit.id} ({whole}) is not within one free time of the patient ({listed})")

    def _order(self, parts: list[PartAt]) -> Iterator[Breach]:
        for before, at in pairwise(parts):
            wait = at.interval.start - before.interval.end
            if wait < 0:
                text = f"{at} starts before part {before.part.id} ends at {clock(before.interval.end)}"
                yield Breach(self.name, text)
            elif at.part.max_wait_min is not None and wait > at.part.max_wait_min:
                text = f"{at} comes {wait} minutes after part {before.part.id}, at most {at.part.max_wait_min} may pass"
                yield Breach(self.name, text)
