"""A visit with something fixed is placed, with exactly the values given."""

from collections.abc import Iterator, Mapping, Sequence

from solver.clock import clock
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.verify.breach import Breach
from solver.verify.walk import place_name, staff_name, unit_name
from solver.visits import Fixed, FixedPart, Visit


class FixedKept:
    name: RuleName = "fixed"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        placed = {visit.id: visit for visit in plan.visits}
        left = {left.id for left in plan.left_out}
        for visit in day.visits:
            if visit.fixed is None:
                continue
            if visit.id in placed:
                for text in self._kept(day, visit, visit.fixed, placed[visit.id]):
                    yield Breach(self.name, text)
            elif visit.id in left:
                yield Breach(self.name, f"{visit.id} is fixed, but is left out")

    def _kept(self, day: Day, visit: Visit, fixed: Fixed, placed: PlacedVisit) -> Iterator[str]:
        if fixed.therapist_given and placed.therapist != fixed.therapist:
            has, was = staff_name(day, placed.therapist), staff_name(day, fixed.therapist)
            yield f"{visit.id} is fixed with {was}, but is with {has}"
        for part, wanted, given in zip(visit.parts, fixed.parts, placed.parts, strict=False):
            who = f"{visit.id} part {part.id}"
            if wanted.start is not None and given.start != wanted.start:
                yield f"{who} is fixed at {clock(wanted.start)}, but is at {clock(given.start)}"
            if wanted.unit is not None and given.unit != wanted.unit:
                yield f"{who} is fixed on {unit_name(day, wanted.unit)}, but is on {unit_name(day, given.unit)}"
            if wanted.place is not None and given.place != wanted.place:
                yield f"{who} is fixed at {place_name(day, wanted.place)}, but is at {place_name(day, given.place)}"
            if wanted.bay is not None and given.bay != wanted.bay:
                yield f"{who} is fixed in bay {wanted.bay}, but is in {given.bay}"
            yield from self._lists(who, wanted, given.channels, given.items)

    def _lists(
        self,
        who: str,
        wanted: FixedPart,
        channels: Mapping[str, Sequence[str]],
        items: Mapping[str, Sequence[str]],
    ) -> Iterator[str]:
        if wanted.channels is not None and _unordered(channels) != _unordered(wanted.channels):
            yield f"{who} is fixed on the channels {_listed(wanted.channels)}, but is on {_listed(channels)}"
        if wanted.items is not None and _unordered(items) != _unordered(wanted.items):
            yield f"{who} is fixed with the items {_listed(wanted.items)}, but has {_listed(items)}"


def _unordered(lists: Mapping[str, Sequence[str]]) -> dict[str, list[str]]:
    return {key: sorted(values) for key, values in lists.items() if values}


def _listed(lists: Mapping[str, Sequence[str]]) -> str:
    return "; ".join(f"{key}: {', '.join(values)}" for key, values in lists.items() if values) or "none"
