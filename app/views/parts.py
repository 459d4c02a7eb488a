"""Day and plan joined: every planned part with the visit, stay and phases it belongs to. Other views build on it."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from app.views.holds import Hold, bay_holds, item_holds
from solver.clock import Interval
from solver.problem import Day
from solver.schedule import PlacedPart, PlacedVisit, Plan
from solver.stays import Stay, stays_of
from solver.visits import Part, Phase, Visit


def part_key(visit_id: str, part_id: str) -> str:
    """What addresses and element ids call a part; no patient in it."""
    return f"{visit_id}.{part_id}"


@dataclass(frozen=True)
class PlannedPart:
    """A part of the day together with where the plan puts it."""

    visit: Visit
    placed_visit: PlacedVisit
    part: Part
    placed: PlacedPart
    index: int
    stay: Stay

    @property
    def key(self) -> str:
        return part_key(self.visit.id, self.part.id)

    @property
    def interval(self) -> Interval:
        return Interval(self.placed.start, self.placed.start + self.part.minutes)

    @property
    def outputs_by_channel(self) -> dict[str, str]:
        return {id: output for output, ids in self.placed.channels.items() for id in ids}

    def phases(self) -> Iterator[tuple[Phase, Interval, str | None]]:
        """Each phase with its minutes and whose hands it has."""
        for (phase, interval), hands in zip(self.part.phases_at(self.placed.start), self.placed.hands, strict=True):
            yield phase, interval, hands


@dataclass(frozen=True, eq=False)
class Planned:
    """A day and a right plan of it, with the joins every view needs. Two are the same only if they are one."""

    day: Day
    plan: Plan

    @cached_property
    def stays(self) -> list[Stay]:
        return stays_of(self.day, self.plan)

    @cached_property
    def parts(self) -> list[PlannedPart]:
        """Every planned part, by start."""
        found = []
        for stay in self.stays:
            order = [part.id for part in stay.visit.parts]
            found += [
                PlannedPart(stay.visit, stay.placed, part, placed, order.index(part.id), stay)
                for part, placed in stay.parts
            ]
        return sorted(found, key=lambda part: (part.interval, part.key))

    @cached_property
    def item_holds(self) -> list[Hold]:
        return item_holds(self.day, self.stays)

    def item_holds_of(self, stay: Stay) -> list[Hold]:
        """The holds of the stay, which is one of ``stays``."""
        return self._item_holds_by_stay.get(id(stay), [])

    @cached_property
    def _item_holds_by_stay(self) -> dict[int, list[Hold]]:
        found: dict[int, list[Hold]] = {}
        for hold in self.item_holds:
            found.setdefault(id(hold.stay), []).append(hold)
        return found

    @cached_property
    def bay_holds(self) -> list[Hold]:
        return bay_holds(self.day, self.stays)

    def on_unit(self, unit_id: str) -> list[PlannedPart]:
        return [part for part in self.parts if part.placed.unit == unit_id]

    def unit_stays(self, unit_id: str) -> list[Stay]:
        return [stay for stay in self.stays if stay.unit == unit_id]

    @cached_property
    def outputs(self) -> list[str]:
        """Every output that a channel of the day drives, in the order the units name them."""
        return list(dict.fromkeys(output for unit in self.day.units for ch in unit.channels for output in ch.drives))
