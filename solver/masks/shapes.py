"""What a visit asks for with its parts spaced in one way, as far as no plan changes it: counted once."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cached_property
from typing import NamedTuple

from solver.clinic import StaffMember
from solver.clock import DAY_MIN
from solver.masks.bits import ALL, span, union
from solver.masks.charge import Draw, draw_of
from solver.masks.eligible import Eligible
from solver.masks.waits import Offsets, offsets_by_wait
from solver.names import RuleName
from solver.sites import Site
from solver.visits import FixedPart, Visit

Without = frozenset[RuleName]
"""Rules that are not asked for, when one wants to know what stands in the way."""

NOTHING: Without = frozenset()

FREE = FixedPart()

Stays = tuple[tuple[int, ...], ...]
"""Indices of the parts of each stay."""

Stretch = tuple[int, int]
"""Minutes from the visit's start, and how many there are."""


class StayShape(NamedTuple):
    """One stay: its parts (indices), the first one's minutes from the visit's start, and how long it is."""

    parts: tuple[int, ...]
    first: int
    length: int


class Spaced(NamedTuple):
    """A visit as one rigid body, or some of its parts as one (then ``offsets`` of the others say nothing).

    ``allowed``: the starts that grid, hours, the patient and what is fixed leave.
    """

    offsets: Offsets
    total: int
    allowed: int
    unattended: tuple[Stretch, ...]
    by_therapist: tuple[Stretch, ...]
    by_anyone: tuple[Stretch, ...]
    stays: tuple[StayShape, ...]


class Shape:
    """One visit of a day, looked at without the rules in ``without``."""

    def __init__(self, eligible: Eligible, visit: Visit, grid: int, without: Without = NOTHING) -> None:
        """``grid``: the minutes at which parts may start."""
        self.day = eligible.day
        self._eligible = eligible
        self.visit = visit
        self.without = without
        self.fixed: tuple[FixedPart, ...] = tuple(
            FREE if visit.fixed is None or "fixed" in without else _named_only(visit.fixed_part(i))
            for i in range(len(visit.parts))
        )
        self._grid = ALL if "grid" in without else grid
        self._sites: dict[tuple[int, ...], list[Site]] = {}
        self._met: dict[Offsets, Spaced] = {}
        self._alone: dict[int, Spaced] = {}
        self._draws: dict[tuple[tuple[int, ...], Offsets], Draw] = {}
        self._found: list[Offsets] = []
        self._more = offsets_by_wait(self.day, visit, without)

    def spacings(self) -> Iterator[Offsets]:
        """Every way to space the parts, the shortest wait first; those met before are not looked for again."""
        yield from self._found
        for offsets in self._more:
            self._found.append(offsets)
            yield offsets

    def spaced(self, offsets: Offsets) -> Spaced:
        found = self._met.get(offsets)
        if found is None:
            found = self._met[offsets] = self._spaced(offsets, self.visit.stays)
        return found

    def alone(self, index: int) -> Spaced:
        """One part as if the visit had no other: its stay is its own."""
        found = self._alone.get(index)
        if found is None:
            found = self._alone[index] = self._spaced((0,) * len(self.visit.parts), ((index,),))
        return found

    def draw(self, spaced: Spaced, stay: StayShape) -> Draw:
        """What the stay asks of a battery."""
        begun = tuple(spaced.offsets[i] - stay.first for i in stay.parts)
        found = self._draws.get((stay.parts, begun))
        if found is None:
            parts = (self.visit.parts[i] for i in stay.parts)
            found = self._draws[stay.parts, begun] = draw_of(zip(parts, begun, strict=True))
        return found

    def _spaced(self, offsets: Offsets, stays: Stays) -> Spaced:
        """Of the parts in these stays."""
        parts = self.visit.parts
        indices = [i for stay in stays for i in stay]
        total = offsets[indices[-1]] + parts[indices[-1]].minutes
        unattended: list[Stretch] = []
        by_therapist: list[Stretch] = []
        by_anyone: list[Stretch] = []
        for i in indices:
            begin = offsets[i]
            for phase in parts[i].phases:
                stretch = (begin, phase.minutes)
                if phase.hands == "therapist":
                    by_therapist.append(stretch)
                elif phase.hands == "anyone":
                    by_anyone.append(stretch)
                elif phase.unattended:
                    unattended.append(stretch)
                begin += phase.minutes
        return Spaced(
            offsets=offsets,
            total=total,
            allowed=self._allowed([(self.fixed[i].start, offsets[i]) for i in indices], total),
            unattended=tuple(unattended),
            by_therapist=tuple(by_therapist),
            by_anyone=tuple(by_anyone),
            stays=tuple(
                StayShape(stay, offsets[stay[0]], offsets[stay[-1]] + parts[stay[-1]].minutes - offsets[stay[0]])
                for stay in stays
            ),
        )

    def _allowed(self, fixed_starts: Iterable[tuple[int | None, int]], total: int) -> int:
        day = self.day
        found = self._grid & span(0, DAY_MIN - total + 1)
        if "hours" not in self.without:
            found &= span(day.open, day.close - total + 1)
        if "patient" not in self.without:
            found &= union(span(start, end - total + 1) for start, end in day.visit_free(self.visit))
        for start, offset in fixed_starts:
            if start is not None:
                found &= span(start - offset, start - offset + 1)
        return found

    def sites(self, stay: tuple[int, ...]) -> list[Site]:
        """Every unit and place that the stay's parts, the visit's tags and what is fixed allow, at any time."""
        found = self._sites.get(stay)
        if found is None:
            found = self._eligible.sites(self.visit, stay, self.without)
            if any(self.fixed[i] != FREE for i in stay):
                found = [site for site in found if self._fixed_here(stay, site)]
            self._sites[stay] = found
        return found

    def _fixed_here(self, stay: tuple[int, ...], site: Site) -> bool:
        for fixed in (self.fixed[i] for i in stay):
            if fixed.unit not in (None, site.unit.id) or fixed.place not in (None, site.place.id):
                return False
            if fixed.bay is not None and fixed.bay not in site.place.bays:
                return False
        return True

    @cached_property
    def therapists(self) -> list[StaffMember | None]:
        """Every therapist who may have the visit; ``[None]`` where it has no therapist phase."""
        visit, fixed = self.visit, self.visit.fixed
        given = fixed is not None and fixed.therapist_given and "fixed" not in self.without
        wanted = fixed.therapist if given and fixed is not None else None
        if not visit.needs_therapist:
            return [None] if wanted is None else []
        skills = frozenset(part.skill for part in visit.parts if part.needs_therapist and part.skill is not None)
        able = self.day.staff if "hands" in self.without else self._eligible.therapists(skills)
        return [
            member
            for member in able
            if ("therapist" in self.without or visit.therapist_must in (None, member.id))
            and (not given or member.id == wanted)
        ]


def _named_only(fixed: FixedPart) -> FixedPart:
    """What is fixed without empty lists: to fix nothing for a name that is not needed asks for nothing."""
    if fixed.channels is None and fixed.items is None:
        return fixed
    channels = None if fixed.channels is None else {output: ids for output, ids in fixed.channels.items() if ids}
    items = None if fixed.items is None else {pool: ids for pool, ids in fixed.items.items() if ids}
    return replace(fixed, channels=channels, items=items)
