"""Each part of a visit as if it were alone: which starts its therapists, its sites and all else leave it.

Necessary, and for a part of a visit of several stays sufficient, but for batteries and units on the move.
"""

from functools import cached_property

from solver.clinic import StaffMember
from solver.masks.bits import union
from solver.masks.starts import Starts
from solver.sites import Site
from solver.visits import Part


class Alone:
    """One part of a visit: its starts by therapist and by site. A start needs both."""

    def __init__(self, starts: Starts, index: int) -> None:
        ways = starts.ways(starts.shape.alone(index))
        self.part: Part = starts.visit.parts[index]
        self.sites = [(sites[0], mask) for sites, mask in ways.sites if sites] if ways else []
        self._members = {member.id if member else None: mask for member, mask in ways.members} if ways else {}

    def by(self, member: StaffMember | None) -> int:
        """With this therapist of the visit."""
        return self._members.get(member.id if member else None, 0)

    @cached_property
    def by_anybody(self) -> int:
        """With some therapist of the visit."""
        return union(self._members.values())

    @cached_property
    def anywhere(self) -> int:
        """At some site, with some therapist."""
        return union(mask for _, mask in self.sites)

    def at(self, site: Site) -> int:
        return self._by_site.get(site.key, 0)

    @cached_property
    def _by_site(self) -> dict[tuple[str, str], int]:
        return {site.key: mask for site, mask in self.sites}


def parts_alone(starts: Starts) -> list[Alone]:
    return [Alone(starts, index) for index in range(len(starts.visit.parts))]
