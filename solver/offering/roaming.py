"""Starts of a visit whose parts are stays of their own, perhaps on several units.

Two of its stays *clash* where they are on one unit that has a battery, or on one unit at different places: only then
does it matter to one where the other is. Without a clash each stay's battery is reckoned by itself, and the search part
by part is exact; with one, the few starts that are still open are completed one by one.
"""

from collections.abc import Callable, Iterator, Sequence

from solver.masks.alone import Alone
from solver.masks.batteries import Batteries
from solver.masks.bits import minutes_of, union
from solver.masks.charge import Draw, draw_of
from solver.masks.shapes import Spaced
from solver.offering.partwise import PartWise
from solver.offering.waiting import Line
from solver.sites import Site

Sites = tuple[Site, ...]
Agree = Callable[[int, Spaced, Sites], bool]
"""Whether the visit's stays can be at these sites from this start with its parts spaced so, as to power and moves."""


def roaming_starts(partwise: PartWise, agree: Agree) -> int:
    """Every start of a visit that has no pool that two stays need."""
    batteries, shape = partwise.starts.ledger.batteries, partwise.starts.shape
    parts = [_OnSites(alone, batteries) for alone in partwise.alone]
    found = 0
    open_still: list[Line] = []
    for waiting in partwise.waits:
        for hands in partwise.hands():
            fits = waiting.narrowed([mine & part.alone.anywhere for mine, part in zip(hands, parts, strict=True)])
            if fits is not None:
                line = Line(waiting, fits)
                found |= _apart(line, parts, fits[0] & ~found)
                open_still.append(line)
    for line in open_still:
        if not line.fits[0] & ~found:
            continue
        for sites, settled in _clashing(line, parts, line.fits[0] & ~found):
            for start in minutes_of(settled.fits[0] & ~found):
                if any(agree(start, shape.spaced(offsets), sites) for offsets in settled.spacings(start)):
                    found |= 1 << start
    return found


class _Group:
    """Sites of one part that are alike as to which others they clash with. ``site``: one of them; None: with none."""

    def __init__(self, site: Site | None, sites: Sequence[tuple[Site, int]], part: "_OnSites") -> None:
        self.site = site
        self.sites = sites
        self.mask = union(mask for _, mask in sites)
        self._part = part

    def lasting(self, starts: int) -> int:
        """Those of the starts at which the battery lasts all day if this is the visit's only stay on the unit.

        Batteries are asked about as late as can be, since each start costs a reckoning.
        """
        if self.site is None:
            return starts & self.mask
        return union(self._part.lasting(site, mask & starts) for site, mask in self.sites)


class _OnSites:
    """One part's starts by site."""

    def __init__(self, alone: Alone, batteries: Batteries) -> None:
        self.alone = alone
        self.batteries = batteries
        self.on_unit: dict[str, list[tuple[Site, int]]] = {}
        for way in alone.sites:
            self.on_unit.setdefault(way[0].unit.id, []).append(way)
        self._draw: Draw = draw_of([(alone.part, 0)])

    def groups(self) -> list[_Group]:
        """The sites that clash with none first; then those with a unit of their own, or a unit at a place."""
        free: list[tuple[Site, int]] = []
        others: list[_Group] = []
        for unit, ways in self.on_unit.items():
            if self.batteries.matters(unit):
                others.append(_Group(ways[0][0], ways, self))
            elif len(ways[0][0].unit.places) > 1:
                others = [*(_Group(way[0], [way], self) for way in ways), *others]
            else:
                free += ways
        return [_Group(None, free, self), *others]

    def lasting(self, site: Site, starts: int) -> int:
        return self.batteries.lasting(site, self._draw, starts)

    def promising(self, site: Site, starts: int) -> int:
        return self.batteries.promising(site, self._draw, starts)

    def clash(self, one: Site, other: Site) -> bool:
        if one.unit.id != other.unit.id:
            return False
        return self.batteries.matters(one.unit.id) or one.place.id != other.place.id


def _apart(line: Line, parts: Sequence[_OnSites], wanted: int) -> int:
    """Those of the wanted starts on the line at which no two stays need clash."""
    waiting, fits = line.waiting, line.fits
    groups = [part.groups() for part in parts]

    def walk(chosen: tuple[Site, ...], own: tuple[int, ...], left: int) -> int:
        """Those of the starts left from which the parts after the chosen sites can follow."""
        k = len(own)
        reached = fits[k] & waiting.after(k, own[-1]) if k else left
        found = there = 0
        for group in groups[k]:
            site, mask = group.site, reached & group.mask & ~(there if k else found)
            if not mask or (site is not None and any(parts[k].clash(site, other) for other in chosen)):
                continue
            lasting = group.lasting(mask)
            if not lasting:
                continue
            if k + 1 < len(parts):
                further = walk(chosen if site is None else (*chosen, site), (*own, lasting), left & ~found)
            else:
                there |= lasting
                further = (waiting.narrowed((*own, there)) or (0,))[0] & left
            if further & ~found:
                found |= further
                if not left & ~found:
                    break
                if k == 1:
                    reached = fits[1] & waiting.after(1, own[0] & left & ~found)
        return found

    return walk((), (), wanted) if wanted else 0


def _clashing(line: Line, parts: Sequence[_OnSites], starts: int) -> Iterator[tuple[Sites, Line]]:
    """Every choice of sites with a clash, with what it leaves of the line and these starts at first sight."""
    waiting, fits = line.waiting, line.fits

    def walk(chosen: Sites, own: tuple[int, ...], clash: bool) -> Iterator[tuple[Sites, tuple[int, ...]]]:
        k = len(own)
        if k == len(parts):
            yield chosen, own
            return
        reached = fits[k] & (waiting.after(k, own[-1]) if k else starts)
        last = k + 1 == len(parts) and not clash
        units = dict.fromkeys(site.unit.id for site in chosen) if last else parts[k].on_unit
        for site, mask in (way for unit in units for way in parts[k].on_unit.get(unit, ())):
            clashes = clash or any(parts[k].clash(site, other) for other in chosen)
            if clashes or not last:
                mine = parts[k].promising(site, mask & reached)
                if mine:
                    yield from walk((*chosen, site), (*own, mine), clashes)

    for sites, own in walk((), (), False):
        settled = waiting.narrowed(own)
        if settled is not None:
            yield sites, Line(waiting, settled)
