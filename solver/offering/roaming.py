"""Starts of a visit whose parts are stays of their own, perhaps on several units.

Two of its stays *clash* where they are on one unit that has a battery, or on one unit at different places: only then
does it matter to one where the other is. Without a clash each stay's battery is reckoned by itself, and the search part
by part is exact; with one, the few starts that are still open are completed one by one.
"""

from collections.abc import Callable, Iterator, Sequence

from solver.masks.bits import minutes_of, union
from solver.masks.waits import Offsets
from solver.offering.charge import Charge
from solver.offering.partwise import Alone, Track, follows, on_sites
from solver.sites import Site

Sites = tuple[Site, ...]
Completes = Callable[[Track, int, Offsets, Sites], bool]
"""Whether the visit on the track can be at these sites from this start with its parts spaced so."""


def roaming_starts(tracks: Sequence[Track], alone: Sequence[Alone], charge: Charge, completes: Completes) -> int:
    """Every start on the tracks, which leave the sites open and have no pool that two stays need."""
    parts = [_OnSites(part, charge, union(track.fits[i] for track in tracks)) for i, part in enumerate(alone)]
    found = 0
    for track in tracks:
        if track.fits[0] & ~found:
            found |= _apart(track, parts, charge, found)
    for track in tracks:
        if not track.fits[0] & ~found:
            continue
        for sites, settled in _clashing(track, parts, charge, track.fits[0] & ~found):
            for start in minutes_of(settled.fits[0] & ~found):
                if any(completes(settled, start, offsets, sites) for offsets in settled.spacings(start)):
                    found |= 1 << start
    return found


class _OnSites:
    """One part's starts by site. Batteries are asked about as late as can be, since each start costs a reckoning."""

    def __init__(self, alone: Alone, charge: Charge, wanted: int) -> None:
        """``wanted``: the starts that any track leaves the part."""
        self.alone = alone
        self._charge = charge
        there = ((site, mask & wanted) for site, mask in alone.sites)
        self.sites = sorted(((site, mask) for site, mask in there if mask), key=lambda on: charge.matters(on[0].unit))
        self.on_unit: dict[str, list[tuple[Site, int]]] = {}
        for way in self.sites:
            self.on_unit.setdefault(way[0].unit.id, []).append(way)

    def lasting(self, site: Site, starts: int) -> int:
        """Those of the starts at which the battery lasts all day if this is the visit's only stay on the unit."""
        return self._charge.lasting(site, [(self.alone.part, 0)], starts)

    def lasting_until_end(self, site: Site, starts: int) -> int:
        """Those of the starts at which the battery lasts at least through this stay, whatever comes later."""
        return self._charge.lasting(site, [(self.alone.part, 0)], starts, until_end=True)


def _apart(track: Track, parts: Sequence[_OnSites], charge: Charge, found: int) -> int:
    """The starts on the track at which no two stays clash, without those found before."""
    hands = [part.alone.by(track.member) for part in parts]

    def walk(chosen: Sites, own: tuple[int, ...], wanted: int) -> int:
        """Those of the wanted starts from which the parts after the chosen sites can follow."""
        k = len(own)
        reached = hands[k] & follows(track, k, own[-1])
        apart = ((site, mask & reached) for site, mask in parts[k].sites if not clashes(site, chosen))
        new = there = 0
        for site, mask in apart:
            if k + 1 < len(parts):
                lasting = parts[k].lasting(site, mask)
                new |= walk((*chosen, site), (*own, lasting), wanted & ~new) if lasting else 0
            elif mask & ~there:
                there |= parts[k].lasting(site, mask & ~there)
                new |= on_sites(track, (*own, there)).fits[0] & wanted
            if not wanted & ~new:
                break
        return new

    def clashes(site: Site, chosen: Sites) -> bool:
        return any(_clash(site, other, charge) for other in chosen)

    new = 0
    for site, mask in parts[0].sites:
        first = parts[0].lasting(site, mask & hands[0] & track.fits[0] & ~(found | new))
        if first:
            new |= walk((site,), (first,), first)
    return new


def _clashing(track: Track, parts: Sequence[_OnSites], charge: Charge, starts: int) -> Iterator[tuple[Sites, Track]]:
    """Every choice of sites with a clash, with what it leaves of the track and these starts at first sight."""
    hands = [part.alone.by(track.member) for part in parts]

    def walk(chosen: Sites, own: tuple[int, ...], clash: bool) -> Iterator[tuple[Sites, tuple[int, ...]]]:
        k = len(own)
        if k == len(parts):
            if clash:
                yield chosen, own
            return
        last = k + 1 == len(parts) and not clash
        units = dict.fromkeys(site.unit.id for site in chosen)
        on = [way for unit in units for way in parts[k].on_unit.get(unit, ())] if last else parts[k].sites
        for site, mask in on:
            open_starts = hands[k] & mask & track.fits[k]
            if k == 0:
                # What comes later never helps a battery before: the first stay's must last through it in any case.
                open_starts = parts[0].lasting_until_end(site, open_starts & starts)
            else:
                open_starts &= follows(track, k, own[-1]) if open_starts else 0
            if open_starts:
                clashes = clash or any(_clash(site, other, charge) for other in chosen)
                yield from walk((*chosen, site), (*own, open_starts), clashes)

    for sites, own in walk((), (), False):
        settled = on_sites(track, own)
        if settled.fits[0]:
            yield sites, settled


def _clash(one: Site, other: Site, charge: Charge) -> bool:
    if one.unit.id != other.unit.id:
        return False
    return charge.matters(one.unit) or one.place.id != other.place.id
