"""What a visit asks for with its parts spaced in one way, as far as no plan changes it: counted once."""

from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property
from typing import NamedTuple

from solver.clinic import StaffMember
from solver.clock import DAY_MIN
from solver.masks.bits import ALL, span, union
from solver.masks.waits import Offsets, offsets_by_wait
from solver.names import RuleName
from solver.problem import Day
from solver.sites import Site, allowed_sites
from solver.visits import FixedPart, Visit

Without = frozenset[RuleName]
"""Rules that are not asked for, when one wants to know what stands in the way."""

NOTHING: Without = frozenset()

Stretch = tuple[int, int]
"""Minutes from the visit's start, and how many there are."""


class StayShape(NamedTuple):
    """One stay: its parts (indices), the first one's minutes from the visit's start, and how long it is."""

    parts: tuple[int, ...]
    first: int
    length: int


class Spaced(NamedTuple):
    """A visit as one rigid body. ``allowed``: the starts that grid, hours, the patient and what is fixed leave."""

    offsets: Offsets
    total: int
    allowed: int
    unattended: tuple[Stretch, ...]
    by_therapist: tuple[Stretch, ...]
    by_anyone: tuple[Stretch, ...]
    stays: tuple[StayShape, ...]


class Shape:
    """One visit of a day, looked at without the rules in ``without``."""

    def __init__(self, day: Day, visit: Visit, grid: int, without: Without = NOTHING) -> None:
        """``grid``: the minutes at which parts may start."""
        self.day = day
        self.visit = visit
        self.without = without
        self.fixed: tuple[FixedPart, ...] = tuple(
            FixedPart() if "fixed" in without else _named_only(visit.fixed_part(i)) for i in range(len(visit.parts))
        )
        self._grid = ALL if "grid" in without else grid
        self._sites: dict[tuple[int, ...], list[Site]] = {}
        self._met: dict[Offsets, Spaced] = {}
        self._found: list[Offsets] = []
        self._more = offsets_by_wait(day, visit, without)

    def spacings(self) -> Iterator[Offsets]:
        """Every way to space the parts, the shortest wait first; those met before are not looked for again."""
        yield from self._found
        for offsets in self._more:
            self._found.append(offsets)
            yield offsets

    def spaced(self, offsets: Offsets) -> Spaced:
        found = self._met.get(offsets)
        if found is None:
            found = self._met[offsets] = self._spaced(offsets)
        return found

    def _spaced(self, offsets: Offsets) -> Spaced:
        visit = self.visit
        total = offsets[-1] + visit.parts[-1].minutes
        unattended: list[Stretch] = []
        hands: dict[str, list[Stretch]] = {"therapist": [], "anyone": [], "nobody": []}
        for part, offset in zip(visit.parts, offsets, strict=True):
            for phase, minutes in part.phases_at(offset):
                hands[phase.hands].append((minutes.start, phase.minutes))
                if phase.unattended:
                    unattended.append((minutes.start, phase.minutes))
        stays = tuple(
            StayShape(stay, offsets[stay[0]], offsets[stay[-1]] + visit.parts[stay[-1]].minutes - offsets[stay[0]])
            for stay in visit.stays
        )
        return Spaced(
            offsets=offsets,
            total=total,
            allowed=self._allowed(offsets, total),
            unattended=tuple(unattended),
            by_therapist=tuple(hands["therapist"]),
            by_anyone=tuple(hands["anyone"]),
            stays=stays,
        )

    def _allowed(self, offsets: Offsets, total: int) -> int:
        day = self.day
        found = self._grid & span(0, DAY_MIN - total + 1)
        if "hours" not in self.without:
            found &= span(day.open, day.close - total + 1)
        if "patient" not in self.without:
            found &= union(span(start, end - total + 1) for start, end in day.visit_free(self.visit))
        for fixed, offset in zip(self.fixed, offsets, strict=True):
            if fixed.start is not None:
                found &= span(fixed.start - offset, fixed.start - offset + 1)
        return found

    def sites(self, stay: tuple[int, ...]) -> list[Site]:
        """Every unit and place that the stay's parts, the visit's tags and what is fixed allow, at any time."""
        found = self._sites.get(stay)
        if found is None:
            allowed = allowed_sites(self.day, self.visit, stay, self.without)
            found = self._sites[stay] = [site for site in allowed if self._fixed_here(stay, site)]
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
        skills = {part.skill for part in visit.parts if part.needs_therapist and part.skill is not None}
        return [
            member
            for member in self.day.staff
            if ("hands" in self.without or (member.kind == "therapist" and skills.issubset(member.skills)))
            and ("therapist" in self.without or visit.therapist_must in (None, member.id))
            and (not given or member.id == wanted)
        ]


def _named_only(fixed: FixedPart) -> FixedPart:
    """What is fixed without empty lists: to fix nothing for a name that is not needed asks for nothing."""
    if fixed.channels is None and fixed.items is None:
        return fixed
    channels = None if fixed.channels is None else {output: ids for output, ids in fixed.channels.items() if ids}
    items = None if fixed.items is None else {pool: ids for pool, ids in fixed.items.items() if ids}
    return replace(fixed, channels=channels, items=items)
