"""Every start at which one visit can be added to a plan that stays as it is, and the best way to add it there.

A visit of one stay whose parts can be spaced in few ways is looked at as a rigid body for each (``rigid_starts``), any
other part by part (``PartWise``, ``roaming_starts``). What ties parts together, batteries and items that two parts
need, is then judged for each start that is still open.
"""

import heapq
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import islice

from solver.aims import Costs
from solver.clinic import StaffMember
from solver.masks.bits import minutes_of
from solver.masks.choice import Choice
from solver.masks.ledger import Ledger
from solver.masks.shapes import Spaced
from solver.masks.starts import Ways
from solver.masks.waits import Offsets
from solver.offering.partwise import PartWise, Track
from solver.offering.preference import Preference
from solver.offering.rigid import rigid_starts
from solver.offering.roaming import Sites, roaming_starts
from solver.schedule import PlacedVisit
from solver.sites import Site
from solver.visits import Visit

MOST_RIGID = 16
"""Ways to space a visit's parts up to which each is looked at as a rigid body."""


class Openings:
    """Of one visit in one ledger that does not hold it. Of use until the ledger changes.

    ``wanting``: units whose battery does not last without a stay of the visit on them; every way must have one there.
    """

    def __init__(self, ledger: Ledger, visit: Visit, wanting: frozenset[str] = frozenset()) -> None:
        self.ledger = ledger
        self.visit = visit
        self.wanting = wanting
        self.choice = Choice(ledger, visit)
        self.starts = self.choice.starts
        self.preference = Preference(ledger.day, visit)
        self._stays_known: dict[Offsets, list[list[tuple[Site, int, int]]]] = {}
        pools = [pool for part in visit.parts for pool in part.applicators]
        self._batteries_alone = len(set(pools)) == len(pools) and not wanting
        """True where only batteries, and units on the move, tie parts together."""
        named = any(part.items is not None for part in self.starts.shape.fixed)
        two_each = not named and all(pools.count(pool) <= 2 for pool in pools)
        self._rigid_says_all = self._batteries_alone or (two_each and not wanting)
        """The same for the visit as a rigid body: items are counted exactly where at most two parts need them."""

    def possible(self) -> int:
        """The set of starts: minutes at which the first part can begin."""
        if self._few_spacings is not None and self._rigid_says_all:
            return rigid_starts(self.starts, self._few_spacings)
        if self._rigid is not None:
            return self._possible_rigid(self._rigid)
        if self._batteries_alone and len(self.visit.stays) > 1:
            return roaming_starts(self._partwise, self.choice.stays_agree)
        return self._possible_on_tracks()

    def best(self, start: int) -> PlacedVisit | None:
        """The best way to begin at this minute, or None where there is none."""
        found = self._best_on_tracks(start) if self._rigid is None else self._best_rigid(start, self._rigid)
        return next(found, None)

    @cached_property
    def _few_spacings(self) -> list[Spaced] | None:
        """Each way to space the parts, to be looked at as a rigid body; None where that is not how to look at it."""
        if len(self.visit.stays) > 1:
            return None
        few = list(islice(self.starts.shape.spacings(), MOST_RIGID + 1))
        return None if len(few) > MOST_RIGID else [self.starts.shape.spaced(offsets) for offsets in few]

    @cached_property
    def _rigid(self) -> list[tuple[Spaced, Ways]] | None:
        """The same with who and where."""
        if self._few_spacings is None:
            return None
        found = ((spaced, self.starts.ways(spaced)) for spaced in self._few_spacings)
        return [(spaced, ways) for spaced, ways in found if ways is not None]

    @cached_property
    def _partwise(self) -> PartWise:
        return PartWise(self.starts, self.preference)

    @cached_property
    def _tracks(self) -> list[Track]:
        return list(self._partwise.tracks())

    def _possible_rigid(self, rigid: Sequence[tuple[Spaced, Ways]]) -> int:
        """Each start that is still open completed in full."""
        found = 0
        for spaced, ways in rigid:
            for sites, theirs in ways.sites:
                for member, mine in ways.members:
                    for start in minutes_of(theirs & mine & ~found):
                        if any(self._completed(start, spaced, member, None if sites is None else [sites])):
                            found |= 1 << start
        return found

    def _possible_on_tracks(self) -> int:
        """What ties parts together is judged for each start that is still open, on one track after the other."""
        found = 0
        tracks = list(self._partwise.open_tracks()) if self._batteries_alone else self._tracks
        for track in tracks:
            if self._batteries_alone and track.site is not None and not self._powered(track.site):
                found |= track.line.fits[0]
        for track in tracks:
            for start in minutes_of(track.line.fits[0] & ~found):
                if any(self._fits_on(track, start, offsets) for offsets in track.line.spacings(start)):
                    found |= 1 << start
        return found

    def _powered(self, site: Site) -> bool:
        return self.ledger.batteries.matters(site.unit.id)

    def _fits_on(self, track: Track, start: int, offsets: Offsets) -> bool:
        spaced = self.starts.shape.spaced(offsets)
        if self._batteries_alone and track.site is not None:
            draw = self.starts.shape.draw(spaced, spaced.stays[0])
            return self.ledger.batteries.lasting(track.site, draw, 1 << start) != 0
        return any(self._completed(start, spaced, track.member, None if track.site is None else [(track.site,)]))

    def _best_rigid(self, start: int, rigid: Sequence[tuple[Spaced, Ways]]) -> Iterator[PlacedVisit]:
        ranked: list[tuple[Costs, int, bool, StaffMember | None]] = []
        for n, (spaced, ways) in enumerate(rigid):
            members = [member for member, mask in ways.members if mask >> start & 1]
            if members:
                member = min(members, key=self.preference.of_member)
                for told in (True, False):
                    ranked.append((self.preference.costs(start, spaced.total, member, told), n, told, member))
        for _, n, told, member in sorted(ranked, key=lambda way: way[:3]):
            spaced, ways = rigid[n]
            sites = [chosen for chosen, mask in ways.sites if chosen is not None and mask >> start & 1]
            sites.sort(key=lambda chosen: self.preference.of_site(chosen[0]))
            yield from self._completed(start, spaced, member, sites, told)

    def _best_on_tracks(self, start: int) -> Iterator[PlacedVisit]:
        """Each track's spacings one after the other; the cheapest of all comes first."""
        here = [track for track in self._tracks if track.line.fits[0] >> start & 1]
        here.sort(
            key=lambda t: (self.preference.of_member(t.member), self.preference.of_site(t.site) if t.site else ())
        )
        spacings = [track.line.spacings(start) for track in here]
        queue: list[tuple[Costs, int, int, Offsets]] = []

        def push(n: int) -> None:
            offsets = next(spacings[n], None)
            if offsets is not None:
                total = offsets[-1] + self.visit.parts[-1].minutes
                costs = self.preference.costs(start, total, here[n].member, here[n].told)
                heapq.heappush(queue, (costs, total, n, offsets))

        for n in range(len(here)):
            push(n)
        while queue:
            _, _, n, offsets = heapq.heappop(queue)
            track, spaced = here[n], self.starts.shape.spaced(offsets)
            yield from self._completed(start, spaced, track.member, [(track.site,)] if track.site else None, track.told)
            push(n)

    def _completed(
        self,
        start: int,
        spaced: Spaced,
        member: StaffMember | None,
        sites: Iterable[Sites] | None,
        told: bool | None = None,
    ) -> Iterator[PlacedVisit]:
        """The visit at each of the sites, where it can be; ``sites`` None: at all there are for its several stays.

        ``told``: whether it must, or must not, begin on the unit that the patient was told.
        """
        for chosen in self._sites_of_stays(start, spaced) if sites is None else sites:
            if told is not None and self.preference.is_told(chosen[0]) != told:
                continue
            if self.wanting <= {site.unit.id for site in chosen}:
                placed = self.choice.complete(start, spaced, member, chosen)
                if placed is not None:
                    yield placed

    def _sites_of_stays(self, start: int, spaced: Spaced) -> Iterator[Sites]:
        """Every way to choose each stay's site that batteries may allow; the site of the stay before comes first."""
        there = [
            [(site, lasting >> start & 1) for site, mask, lasting in sites if mask >> start & 1]
            for sites in self._stays(spaced)
        ]

        def walk(chosen: Sites, doubtful: Sites) -> Iterator[Sites]:
            if len(chosen) == len(there):
                # A stay for which the battery does not last may be helped by another stay there, and by nothing else.
                units = [site.unit.id for site in chosen]
                if all(units.count(site.unit.id) > 1 for site in doubtful):
                    yield chosen
                return
            for site, lasting in sorted(there[len(chosen)], key=lambda way: not chosen or way[0].key != chosen[-1].key):
                yield from walk((*chosen, site), doubtful if lasting else (*doubtful, site))

        yield from walk((), ())

    def _stays(self, spaced: Spaced) -> list[list[tuple[Site, int, int]]]:
        """For each stay its sites, with the visit starts the masks allow and those for which the battery lasts too.

        Where the battery could not even last with other stays of the visit to help it, the site is left out.
        """
        known = self._stays_known.get(spaced.offsets)
        if known is None:
            known = self._stays_known[spaced.offsets] = []
            shape, batteries = self.starts.shape, self.ledger.batteries
            for stay in spaced.stays:
                ways, draw = [], shape.draw(spaced, stay)
                for site in sorted(shape.sites(stay.parts), key=self.preference.of_site):
                    mask = self.starts.of_site(stay, spaced, site, spaced.allowed) << stay.first
                    mask = batteries.promising(site, draw, mask)
                    if mask:
                        ways.append((site, mask >> stay.first, batteries.lasting(site, draw, mask) >> stay.first))
                known.append(ways)
        return known
