"""Stays: what holds a unit, a place and a bay. With ``same_unit`` the whole visit is one, else each part is its own."""

from collections.abc import Iterator
from dataclasses import dataclass

from solver.clock import Interval
from solver.problem import Day
from solver.schedule import PlacedPart, PlacedVisit, Plan
from solver.visits import Part, Visit


@dataclass(frozen=True, slots=True)
class Stay:
    """One stay of a placed visit. ``parts`` pairs each part of the day with where the plan puts it, in order."""

    visit: Visit
    placed: PlacedVisit
    parts: tuple[tuple[Part, PlacedPart], ...]

    @property
    def unit(self) -> str:
        return self.parts[0][1].unit

    @property
    def place(self) -> str:
        return self.parts[0][1].place

    @property
    def bay(self) -> str:
        return self.parts[0][1].bay

    @property
    def interval(self) -> Interval:
        """From the first part's start to the end of the part that ends last."""
        return Interval(
            min(placed.start for _, placed in self.parts),
            max(placed.start + part.minutes for part, placed in self.parts),
        )


def stays_of(day: Day, plan: Plan) -> list[Stay]:
    """Every stay of the plan, by start. The plan has the day's visits and parts (the verifier's ``shape`` holds)."""
    return sorted(
        (stay for placed in plan.visits for stay in visit_stays(day.visit_by_id[placed.id], placed)),
        key=lambda stay: (stay.interval, stay.visit.id),
    )


def visit_stays(visit: Visit, placed: PlacedVisit) -> Iterator[Stay]:
    """The stays of one placed visit, in the order of its parts."""
    pairs = list(zip(visit.parts, placed.parts, strict=True))
    for indices in visit.stays:
        yield Stay(visit, placed, tuple(pairs[i] for i in indices))
