"""The placed parts and phases of a plan beside what the day says of them, and how the verifier's texts call them."""

from collections.abc import Iterator
from typing import NamedTuple

from solver.clock import Interval, clock
from solver.problem import Day
from solver.schedule import PlacedPart, PlacedVisit, Plan
from solver.stays import Stay
from solver.visits import Part, Phase, Visit


class PartAt(NamedTuple):
    """A part of the day with where the plan puts it."""

    visit: Visit
    placed_visit: PlacedVisit
    part: Part
    placed: PlacedPart

    @property
    def interval(self) -> Interval:
        return Interval(self.placed.start, self.placed.start + self.part.minutes)

    def __str__(self) -> str:
        return f"{self.visit.id} part {self.part.id} at {clock(self.placed.start)}"


class PhaseAt(NamedTuple):
    """A phase of a placed part with its minutes and whom the plan names for it."""

    at: PartAt
    number: int
    phase: Phase
    interval: Interval
    staff: str | None

    def __str__(self) -> str:
        return f"{self.at.visit.id} part {self.at.part.id}, phase {self.number} ({self.interval})"


def parts_of(day: Day, plan: Plan) -> Iterator[PartAt]:
    for placed_visit in plan.visits:
        visit = day.visit_by_id[placed_visit.id]
        for part, placed in zip(visit.parts, placed_visit.parts, strict=True):
            yield PartAt(visit, placed_visit, part, placed)


def phases_of(day: Day, plan: Plan) -> Iterator[PhaseAt]:
    for at in parts_of(day, plan):
        for i, (phase, interval) in enumerate(at.part.phases_at(at.placed.start)):
            yield PhaseAt(at, i + 1, phase, interval, at.placed.hands[i])


def stay_text(stay: Stay) -> str:
    """``V1 (09:00–09:30)``."""
    return f"{stay.visit.id} ({stay.interval})"


def unit_name(day: Day, id: str) -> str:
    return day.unit_by_id[id].name if id in day.unit_by_id else id


def place_name(day: Day, id: str) -> str:
    return day.place_by_id[id].name if id in day.place_by_id else id


def staff_name(day: Day, id: str | None) -> str:
    if id is None:
        return "nobody"
    return day.staff_by_id[id].name if id in day.staff_by_id else id
