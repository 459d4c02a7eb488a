"""A day that is over as a day and a plan of what was given, so that its figures are counted as those of any plan.

What was given keeps its unit, bay, channels and items, and has the minutes that it took: a pause is a phase in which
nothing runs and nobody's hands are needed. What was never given is left out. Hours and breaks are those of the plan.
The plan that comes of it need not keep any rule, and is never kept as one.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from solver.late.happened import PartOf
from solver.problem import Day
from solver.schedule import LeftOut, PlacedPart, PlacedVisit, Plan
from solver.visits import Part, Phase, Visit


@dataclass(frozen=True, slots=True)
class Stretch:
    """Minutes of a phase, by its number, in which it went on or was paused. ``who``: whose hands it had."""

    phase: int
    minutes: int
    paused: bool
    who: str | None


@dataclass(frozen=True, slots=True)
class Given:
    """A part that was started, from its first minute on."""

    start: int
    stretches: tuple[Stretch, ...]

    @property
    def minutes(self) -> int:
        return sum(one.minutes for one in self.stretches)

    @property
    def end(self) -> int:
        return self.start + self.minutes


def actual_day(day: Day, plan: Plan, given: Mapping[PartOf, Given]) -> tuple[Day, Plan]:
    """The day with its visits as they were given. A part of which no whole minute was given was not."""
    there = {visit.id: _visit(day.visit_by_id[visit.id], visit, given) for visit in plan.visits}
    pairs = {id: pair for id, pair in there.items() if pair is not None}
    visits = tuple(pairs[visit.id][0] if visit.id in pairs else _free(visit) for visit in day.visits)
    left = tuple(LeftOut(id=visit.id, reasons=()) for visit in day.visits if visit.id not in pairs)
    was = replace(plan, status="feasible", visits=tuple(placed for _, placed in pairs.values()), left_out=left)
    return replace(day, visits=visits, published=()), replace(was, scores={}, bounds={}, conflict=())


def _visit(visit: Visit, placed: PlacedVisit, given: Mapping[PartOf, Given]) -> tuple[Visit, PlacedVisit] | None:
    found = [
        _part(part, where, one)
        for number, (part, where) in enumerate(zip(visit.parts, placed.parts, strict=True))
        if (one := given.get((visit.id, number))) is not None and one.minutes > 0
    ]
    if not found:
        return None
    parts, where = tuple(part for part, _ in found), tuple(there for _, there in found)
    return replace(_free(visit), parts=parts), replace(placed, parts=where)


def _part(part: Part, where: PlacedPart, given: Given) -> tuple[Part, PlacedPart]:
    stretches = [one for one in given.stretches if one.minutes > 0]
    phases = tuple(
        Phase(minutes=one.minutes, hands="nobody", running=False)
        if one.paused
        else replace(part.phases[one.phase], minutes=one.minutes)
        for one in stretches
    )
    hands = tuple(None if one.paused else one.who for one in stretches)
    return replace(part, phases=phases, max_wait_min=None), replace(where, start=given.start, hands=hands)


def _free(visit: Visit) -> Visit:
    """The visit without what was wanted of its time: it is over."""
    return replace(visit, free=None, fixed=None, therapist_must=None)
