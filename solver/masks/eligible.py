"""What may serve a visit at any time, whatever the plan: found once for all visits that ask for the same."""

from collections.abc import Collection, Sequence
from itertools import combinations

from solver.clinic import StaffMember, Unit
from solver.names import RuleName
from solver.problem import Day
from solver.sites import Site, allowed_sites
from solver.visits import Part, Visit

Cut = tuple[tuple[tuple[str, str], ...], int]
"""Channels (by unit and id), and of how many of them a part has need at least."""


class Eligible:
    """Of one day."""

    def __init__(self, day: Day) -> None:
        self.day = day
        self._sites: dict[tuple[object, ...], list[Site]] = {}
        self._therapists: dict[frozenset[str], list[StaffMember]] = {}
        self._cuts: dict[tuple[object, ...], list[Cut]] = {}

    def sites(self, visit: Visit, stay: Sequence[int], without: Collection[RuleName] = ()) -> list[Site]:
        """Every unit and place that the parts of the stay and the visit's tags allow."""
        if without:
            return allowed_sites(self.day, visit, stay, without)
        parts = (visit.parts[i] for i in stay)
        key = (visit.place_tags, *((part.units, *part.applicators) for part in parts))
        found = self._sites.get(key)
        if found is None:
            found = self._sites[key] = allowed_sites(self.day, visit, stay)
        return found

    def therapists(self, skills: frozenset[str]) -> list[StaffMember]:
        """Every therapist with these skills."""
        found = self._therapists.get(skills)
        if found is None:
            found = self._therapists[skills] = [
                member for member in self.day.staff if member.kind == "therapist" and skills.issubset(member.skills)
            ]
        return found

    def cuts(self, unit: Unit, part: Part) -> list[Cut]:
        """For the part to have enough different channels of the unit, each of these must hold (Hall's condition)."""
        key = (unit.id, *part.channels.items())
        found = self._cuts.get(key)
        if found is None:
            found = self._cuts[key] = [
                (
                    tuple((unit.id, c.id) for c in unit.channels if not set(chosen).isdisjoint(c.drives)),
                    sum(part.channels[output] for output in chosen),
                )
                for n in range(1, len(part.channels) + 1)
                for chosen in combinations(part.channels, n)
            ]
        return found
