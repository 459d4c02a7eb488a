"""Every placement of every visit that could be part of a better plan, each one a column."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import islice
from math import gcd
from typing import NamedTuple

from solver.aims import AIM_CLASSES
from solver.aims.stable import OTHER_THERAPIST, OTHER_UNIT
from solver.clinic import StaffMember
from solver.columns.staffing import Crew, crew_of, crews_of
from solver.masks.bits import ALL, minutes_of, span, union
from solver.masks.ledger import Ledger
from solver.masks.pauses import break_starts
from solver.masks.starts import Starts
from solver.masks.waits import Offsets, offsets_by_wait
from solver.names import AimName
from solver.outline import Outline
from solver.problem import Day
from solver.visits import Fixed, Visit

MOST_SPACINGS = 24
"""A visit whose parts can follow each other in more ways is taken part by part: a relaxation that asks for less."""

FAR_MIN = 90
"""Minutes from the wished start beyond which placements are not told apart."""


class Placement(NamedTuple):
    """One way to place a visit, or one part of it. ``body``: a visit of these parts; ``number`` counts the bodies.

    ``far``: stands for all placements far from the wished start. It costs as little as the nearest of them and asks for
    nothing: a relaxation that hardly matters, since hardly any plan that is worth having has such a placement.
    """

    visit: Visit
    body: Visit
    parts: tuple[int, ...]
    number: int
    start: int
    offsets: Offsets
    crew: int | None
    costs: Mapping[AimName, int]
    far: bool = False

    @property
    def end(self) -> int:
        return self.start + self.offsets[-1] + self.body.parts[-1].minutes


class Placements:
    """The placements of a day whose cost under each aim is within the aim's limit.

    Costs are least costs: where an aim looks at a unit or a therapist, the best that the placement may have.
    """

    def __init__(self, day: Day, empty: Ledger, aim: AimName, limits: Mapping[AimName, int], *, by_name: bool) -> None:
        self.day = day
        self._aim = aim
        self.crews: list[Crew] = crews_of(day, by_name=by_name)
        self._empty = empty
        self._limits = limits
        self._bodies = {visit.id: self._bodies_of(visit) for visit in day.visits}

    def __iter__(self) -> Iterator[Placement]:
        for visit in self.day.visits:
            for number, body in enumerate(self._bodies[visit.id]):
                yield from self._of_body(visit, body, number)

    @property
    def mostly_apart(self) -> bool:
        """True where most visits are taken part by part, so that little is left to bound them by."""
        return 2 * sum(len(bodies) > 1 for bodies in self._bodies.values()) > len(self.day.visits)

    def breaks(self) -> Iterator[tuple[StaffMember, int, list[int]]]:
        """Each member's break, by its number, with the starts that it can have."""
        for member in self.day.staff:
            for i, wanted in enumerate(member.breaks):
                yield member, i, list(minutes_of(break_starts(self._empty, member, wanted)))

    def _bodies_of(self, visit: Visit) -> list[Visit]:
        if len(list(islice(offsets_by_wait(self.day, visit), MOST_SPACINGS + 1))) <= MOST_SPACINGS:
            return [visit]
        return [self._alone(visit, i) for i in range(len(visit.parts))]

    def _alone(self, visit: Visit, index: int) -> Visit:
        """The visit with one part only."""
        fixed = visit.fixed
        if fixed is not None:
            fixed = replace(fixed, parts=(visit.fixed_part(index),))
            if not visit.parts[index].needs_therapist:
                fixed = Fixed(parts=fixed.parts)
        return replace(visit, parts=(visit.parts[index],), fixed=fixed)

    def _of_body(self, visit: Visit, body: Visit, number: int) -> Iterator[Placement]:
        starts = Starts(self._empty, body)
        parts = tuple(range(len(visit.parts))) if body is visit else (number,)
        for spaced in map(starts.shape.spaced, starts.shape.spacings()):
            masks: dict[int | None, int] = {}
            for member, _, mask in starts.candidates(spaced):
                crew = crew_of(self.crews, member)
                masks[crew] = union((masks.get(crew, 0), mask))
            near = self._near(visit, number)
            for crew, mask in masks.items():
                for start in minutes_of(mask & near):
                    placement = Placement(visit, body, parts, number, start, spaced.offsets, crew, {})
                    costs = self._costs(placement)
                    if all(cost <= self._limits[aim] for aim, cost in costs.items()):
                        yield placement._replace(costs=costs)
            if union(masks.values()) & ~near:
                costs = {self._aim: FAR_MIN + 1}
                yield Placement(visit, body, parts, number, 0, spaced.offsets, None, costs, far=True)

    def _near(self, visit: Visit, number: int) -> int:
        """The starts that are looked at one by one; beyond, the aim costs more than FAR_MIN."""
        target = self._target(visit) if number == 0 else None
        return ALL if target is None else span(target - FAR_MIN, target + FAR_MIN + 1)

    def _target(self, visit: Visit) -> int | None:
        """The start from which the aim counts minutes; None where it counts none."""
        told = self.day.published_by_id.get(visit.id)
        if self._aim == "stable" and told is not None and told.parts:
            return told.parts[0].start
        return visit.wish if self._aim == "wish" else None

    def grain(self, placement: Placement) -> int:
        """What the aim's cost is a whole multiple of, for every placement that this one stands for."""
        if self._aim == "finish":
            return 1
        if self._aim == "placed":
            return placement.visit.priority
        if not placement.far:
            return placement.costs.get(self._aim, 0)
        target = self._target(placement.visit) or 0
        return gcd(self.day.step_min, target, gcd(OTHER_UNIT, OTHER_THERAPIST) if self._aim == "stable" else 0)

    def _costs(self, placement: Placement) -> dict[AimName, int]:
        visit, whole = placement.visit, placement.body is placement.visit
        outline = self._outline(placement)
        costs: dict[AimName, int] = {}
        for aim in self._limits:
            of_first = aim in ("stable", "wish") and placement.number == 0
            if whole or of_first or aim == "finish":
                costs[aim] = AIM_CLASSES[aim].cost(self.day, visit, outline)
        return costs

    def _outline(self, placement: Placement) -> Outline:
        """The outline that costs least among all that the placement stands for."""
        visit = placement.visit
        told = self.day.published_by_id.get(visit.id)
        unit = told.parts[0].unit if told is not None and told.parts else ""
        wanted = {visit.therapist_wish, told.therapist if told is not None else None}
        members = () if placement.crew is None else self.crews[placement.crew].members
        therapist = next((member.id for member in members if member.id in wanted), None)
        if therapist is None and members:
            therapist = members[0].id
        if placement.body is not visit and told is not None:
            therapist = told.therapist
        wait = placement.end - placement.start - placement.body.minutes
        return Outline(placement.start, placement.end, unit, therapist, wait)
