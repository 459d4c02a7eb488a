"""From a start at which a visit fits to the whole of it: which bays, channels, items and hands."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from random import Random

from solver.clinic import Applicator, StaffMember, Unit
from solver.clock import Interval
from solver.masks.bits import span
from solver.masks.energy import Load, load_of
from solver.masks.ledger import Ledger
from solver.masks.occupancy import Occupancy
from solver.masks.shapes import NOTHING, Spaced, Without
from solver.masks.starts import Sites, Starts
from solver.masks.waits import Offsets
from solver.schedule import PlacedPart, PlacedVisit
from solver.sites import Site
from solver.stays import visit_stays
from solver.visits import Visit

OTHER_HANDS = 0.2
Names = Mapping[str, tuple[str, ...]]


class Choice:
    """Completes one visit's placements in one ledger. Rules in ``without`` are ignored while choosing.

    With ``random``, hands are now and then others than the best: a search finds more that way.
    """

    def __init__(self, ledger: Ledger, visit: Visit, without: Without = NOTHING, random: Random | None = None) -> None:
        self.ledger = ledger
        self.day = ledger.day
        self.visit = visit
        self.without = without
        self.random = random
        self.starts = Starts(ledger, visit, without)
        self._open: dict[Offsets, list[list[tuple[Site, int]]]] = {}
        self._kept: dict[tuple[object, ...], bool] = {}

    def complete(self, start: int, spaced: Spaced, therapist: StaffMember | None, sites: Sites) -> PlacedVisit | None:
        """The visit placed at ``start``, or None where its battery, its own stays or its items stand in the way.

        ``sites`` None: each stay's site is chosen here.
        """
        offsets = spaced.offsets
        hands = None
        for chosen in self._site_choices(start, spaced, sites):
            if not self._powered(start, offsets, chosen):
                continue
            hands = hands or self._hands(start, offsets, therapist)
            if hands is None:
                return None
            parts = self._parts(start, offsets, chosen, hands)
            if parts is None:
                continue
            placed = PlacedVisit(id=self.visit.id, therapist=therapist.id if therapist else None, parts=tuple(parts))
            if self._stays_agree(placed):
                return placed
        return None

    def _site_choices(self, start: int, spaced: Spaced, sites: Sites) -> Iterator[tuple[Site, ...]]:
        if sites is not None:
            yield sites
            return
        bit = 1 << start
        known = self._open.get(spaced.offsets)
        if known is None:
            known = self._open[spaced.offsets] = [
                [(site, self.starts.of_site(stay, spaced, site)) for site in self.starts.shape.sites(stay.parts)]
                for stay in spaced.stays
            ]
        open_sites = [[site for site, mask in sites if mask & bit] for sites in known]

        def walk(chosen: tuple[Site, ...]) -> Iterator[tuple[Site, ...]]:
            if len(chosen) == len(open_sites):
                yield chosen
                return
            # The stay before at the same site first: no needless move.
            ranked = sorted(open_sites[len(chosen)], key=lambda site: not chosen or site != chosen[-1])
            for site in ranked:
                yield from walk((*chosen, site))

        yield from walk(())

    def _hands(
        self, start: int, offsets: Offsets, therapist: StaffMember | None
    ) -> list[tuple[str | None, ...]] | None:
        """Who does each phase of each part; assistants before therapists, who are scarcer."""
        found = []
        for part, offset in zip(self.visit.parts, offsets, strict=True):
            names: list[str | None] = []
            for phase, minutes in part.phases_at(offset):
                if phase.hands == "nobody":
                    names.append(None)
                elif phase.hands == "therapist":
                    names.append(therapist.id if therapist else None)
                else:
                    who = self._helper(start + minutes.start, phase.minutes, therapist)
                    if who is None:
                        return None
                    names.append(who)
            found.append(tuple(names))
        return found

    def _helper(self, minute: int, minutes: int, therapist: StaffMember | None) -> str | None:
        """Who can do a phase from this minute on: an assistant, else the visit's therapist, else another one."""
        bit = 1 << minute
        free = (member for member in self.ledger.helpers if self.starts.of_hands(member, minutes) & bit)
        if self.random is not None and self.random.random() < OTHER_HANDS:
            able = list(free)
            return self.random.choice(able).id if able else None
        first = next(free, None)
        if first is None or first.kind != "therapist" or therapist is None:
            return None if first is None else first.id
        return therapist.id if self.starts.of_hands(therapist, minutes) & bit else first.id

    def _parts(
        self,
        start: int,
        offsets: Offsets,
        sites: Sequence[Site],
        hands: Sequence[tuple[str | None, ...]],
    ) -> list[PlacedPart] | None:
        parts: list[PlacedPart] = []
        for stay, site in zip(self.visit.stays, sites, strict=True):
            first, last = start + offsets[stay[0]], start + offsets[stay[-1]] + self.visit.parts[stay[-1]].minutes
            bays = self.starts.bays(stay, site)
            bay = next((b for b in bays if self._free(self.ledger.bays[b], first, last, "bay")), None)
            items = self._items(start, offsets, stay, parts)
            if bay is None or items is None:
                return None
            for i, named in zip(stay, items, strict=True):
                channels = self._channels(i, start + offsets[i], site.unit)
                if channels is None:
                    return None
                parts.append(
                    PlacedPart(
                        id=self.visit.parts[i].id,
                        start=start + offsets[i],
                        unit=site.unit.id,
                        place=site.place.id,
                        bay=bay,
                        channels=channels,
                        items=named,
                        hands=hands[i],
                    )
                )
        return parts

    def _free(self, resource: Occupancy, start: int, end: int, rule: str) -> bool:
        mask = span(start, end)
        return rule in self.without or resource.free & mask == mask

    def _channels(self, index: int, start: int, unit: Unit) -> Names | None:
        """Different free channels for every output; those that drive the least first, to keep the others for more."""
        part = self.visit.parts[index]
        fixed = self.starts.shape.fixed[index].channels
        if fixed is not None:
            return fixed
        end = start + part.minutes
        free = [c for c in unit.channels if self._free(self.ledger.channels[unit.id, c.id], start, end, "channels")]
        free.sort(key=lambda channel: len(channel.drives))
        outputs = sorted(part.channels, key=lambda output: sum(output in channel.drives for channel in free))

        def assign(rest: Sequence[str], taken: frozenset[str]) -> dict[str, tuple[str, ...]] | None:
            if not rest:
                return {}
            output, *others = rest
            able = [c.id for c in free if output in c.drives and c.id not in taken]
            for chosen in combinations(able, part.channels[output]):
                further = assign(others, taken.union(chosen))
                if further is not None:
                    return {output: chosen, **further}
            return None

        found = assign(outputs, frozenset())
        if found is None and "channels" in self.without:
            return dict.fromkeys(part.channels, ())
        return None if found is None else {output: found[output] for output in part.channels}

    def _items(
        self, start: int, offsets: Offsets, stay: Sequence[int], before: Sequence[PlacedPart]
    ) -> list[Names] | None:
        """The items of each part of the stay; what earlier stays of the visit hold is spared with its turnaround."""
        names: list[dict[str, tuple[str, ...]]] = [{} for _ in stay]
        pools = dict.fromkeys(pool for i in stay for pool in self.visit.parts[i].applicators)
        held = self._held_before(before)
        for pool_id in pools:
            pool = self.day.applicator_by_id[pool_id]
            users = [k for k, i in enumerate(stay) if pool_id in self.visit.parts[i].applicators]
            chosen = self._pool_items(pool, [(stay[k], start + offsets[stay[k]]) for k in users], held)
            if chosen is None:
                return None
            for k, ids in zip(users, chosen, strict=True):
                names[k][pool_id] = ids
        return list(names)

    def _held_before(self, before: Sequence[PlacedPart]) -> dict[str, int]:
        """Each item of the visit's earlier stays with the minute from which another stay may have it."""
        visit = self.visit
        if not before:
            return {}
        until: dict[str, int] = {}
        for part, placed in zip(visit.parts, before, strict=False):
            for pool_id, ids in placed.items.items():
                for item in ids:
                    turnaround = self.day.applicator_by_id[pool_id].turnaround_min
                    until[item] = max(until.get(item, 0), placed.start + part.minutes + turnaround)
        return until

    def _pool_items(
        self, pool: Applicator, users: Sequence[tuple[int, int]], held: Mapping[str, int]
    ) -> list[tuple[str, ...]] | None:
        """Items of one pool for the parts (index, start) of one stay that need it, or None where there are too few.

        Items that are free all through serve the first and are handed on; where handing on would need an item that is
        wanted in between, another one is tried.
        """
        parts = self.visit.parts

        def free(item: str, since: int, end: int) -> bool:
            return self._free(self.ledger.items[item], since, end, "applicator") and (
                held.get(item, 0) <= since or "applicator" in self.without
            )

        def walk(k: int, since: dict[str, int]) -> list[tuple[str, ...]] | None:
            if k == len(users):
                return []
            index, start = users[k]
            need, end = parts[index].applicators[pool.id], start + parts[index].minutes
            fixed = self.starts.shape.fixed[index].items
            named = None if fixed is None else fixed.get(pool.id, ())
            able = [
                item for item in (pool.items if named is None else named) if free(item, since.get(item, start), end)
            ]
            # Those already held first: the shortest way to hold few.
            able.sort(key=lambda item: item not in since)
            for chosen in combinations(able, need):
                further = walk(k + 1, {**since, **{item: since.get(item, start) for item in chosen}})
                if further is not None:
                    return [chosen, *further]
            if "applicator" in self.without and len(able) < need:
                return [tuple(able), *(walk(k + 1, since) or [])]
            return None

        return walk(0, {})

    def _stays_agree(self, placed: PlacedVisit) -> bool:
        """True where the visit's own stays do not stand in each other's way (items are already spared)."""
        stays = list(visit_stays(self.visit, placed))
        if len(stays) == 1:
            return True
        for i, one in enumerate(stays):
            for other in stays[i + 1 :]:
                apart = other.interval.start - one.interval.end
                moved = one.unit == other.unit and one.place != other.place
                if "place" not in self.without and moved and apart < self.day.move_min:
                    return False
        return True

    def _powered(self, start: int, offsets: Offsets, sites: tuple[Site, ...]) -> bool:
        """Asked once for each, whoever the therapist is."""
        key = (start, offsets, *(name for site in sites for name in (site.unit.id, site.place.id)))
        found = self._kept.get(key)
        if found is None:
            found = self._kept[key] = self._batteries_keep(start, offsets, sites)
        return found

    def _batteries_keep(self, start: int, offsets: Offsets, sites: Sequence[Site]) -> bool:
        if "battery" in self.without:
            return True
        parts = self.visit.parts
        further: dict[str, list[Load]] = {}
        for stay, site in zip(self.visit.stays, sites, strict=True):
            if site.unit.battery is not None:
                begun = [(parts[i], start + offsets[i]) for i in stay]
                minutes = Interval(begun[0][1], begun[-1][1] + begun[-1][0].minutes)
                load = load_of(site.unit.battery, minutes, site.place.id, begun)
                further.setdefault(site.unit.id, []).append(load)
        return all(self.ledger.battery_keeps(unit, loads) for unit, loads in further.items())
