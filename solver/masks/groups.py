"""Who may have a visit and where it may be, in groups of which one is as good as another to the day's aims."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from random import Random
from typing import TypeVar

from solver.clinic import StaffMember
from solver.masks.bits import union
from solver.masks.shapes import Spaced
from solver.masks.starts import Sites, Starts, Ways

Some = TypeVar("Some")
Member = tuple[StaffMember | None, int]
"""With the starts at which they may."""


class Where:
    """Where a visit may be, one site or not named, and the starts at which it may.

    ``find`` is asked for them when they are first needed, None where ``most`` are they; until then no others than
    ``most`` are.
    """

    __slots__ = ("_find", "_starts", "most", "sites")

    def __init__(self, sites: Sites, most: int, find: Callable[[], int] | None = None) -> None:
        self.sites = sites
        self.most = most
        self._starts = most
        self._find = find

    @property
    def starts(self) -> int:
        if self._find is not None:
            self._starts, self._find = self._find(), None
        return self._starts


class Group:
    """Therapists and sites that are alike, for a visit whose parts are spaced in one way.

    ``starts``: those at which there is a therapist and, as far as sites have been looked at, a site.
    """

    def __init__(self, spaced: Spaced, members: Sequence[Member], sites: Sequence[Where]) -> None:
        self.spaced = spaced
        self.members = members
        self.sites = sites
        self.starts = union(mask for _, mask in members) & union(where.most for where in sites)

    def at(self, start: int, random: Random | None) -> Iterator[tuple[StaffMember | None, Sites]]:
        """Who may have the visit at the start, and where: as they come, or in any order."""
        members = [member for member, mask in self.members if mask >> start & 1]
        if random is None:
            yield from ((member, sites) for member in members for sites in self._sites_at(start, self.sites))
        else:
            for sites in self._sites_at(start, _in_any_order(self.sites, random)):
                for member in _in_any_order(members, random):
                    yield member, sites

    def _sites_at(self, start: int, sites: Iterable[Where]) -> Iterator[Sites]:
        found = False
        for where in sites:
            if where.starts >> start & 1:
                found = True
                yield where.sites
        if not found:  # all have been looked at
            self.starts &= union(where.starts for where in self.sites)


def groups_of(starts: Starts, spaced: Spaced) -> list[Group]:
    """The groups with one way to space the visit's parts; none where nothing fits.

    A visit of one part can be spaced in no other way, so nothing hangs on whether it fits anywhere: its sites are
    looked at when they are asked for, and mostly one of the first will do.
    """
    if len(starts.visit.parts) > 1:
        ways = starts.ways(spaced)
        return [] if ways is None else list(_alike(starts, spaced, ways.members, _known(ways)))
    prospects = starts.prospects(spaced)
    if prospects is None:
        return []
    stay, within = spaced.stays[0], prospects.starts
    sites = [
        Where((site,), within, partial(starts.of_site, stay, spaced, site, within))
        for site in starts.shape.sites(stay.parts)
    ]
    return list(_alike(starts, spaced, prospects.members, sites))


def whole_group(starts: Starts, spaced: Spaced) -> Group | None:
    """All therapists and sites together, as if they were alike; None where nothing fits."""
    ways = starts.ways(spaced)
    return None if ways is None else Group(spaced, ways.members, _known(ways))


def _known(ways: Ways) -> list[Where]:
    return [Where(sites, mask) for sites, mask in ways.sites]


def _alike(starts: Starts, spaced: Spaced, members: Sequence[Member], sites: Sequence[Where]) -> Iterator[Group]:
    """One therapist is as good as another but for the one wished for or told; so is a unit, the one told first."""
    visit = starts.visit
    told = starts.day.published_by_id.get(visit.id)
    named = {visit.therapist_wish, told.therapist if told else None} - {None}
    unit = told.parts[0].unit if told and told.parts else None
    alike: dict[str, list[Member]] = {}
    for member, mask in members:
        alike.setdefault(member.id if member and member.id in named else "", []).append((member, mask))
    there: dict[bool, list[Where]] = {}
    for where in sites:
        is_told = where.sites is not None and where.sites[0].unit.id == unit
        there.setdefault(is_told, []).append(where)
    for some in alike.values():
        for _, somewhere in sorted(there.items(), key=lambda one: not one[0]):
            yield Group(spaced, some, somewhere)


def _in_any_order(some: Sequence[Some], random: Random) -> Iterator[Some]:
    """All of them: no more is drawn than is asked for."""
    rest = list(some)
    while rest:
        number = int(random.random() * len(rest))
        rest[number], rest[-1] = rest[-1], rest[number]
        yield rest.pop()
