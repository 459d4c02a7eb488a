"""From a start at which a visit fits to the whole of it: which bays, channels, items and hands."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from random import Random

from solver.clinic import StaffMember, Unit
from solver.clock import Interval
from solver.masks.bits import span
from solver.masks.energy import Load, load_of
from solver.masks.items import PoolUse, choose_items
from solver.masks.ledger import Ledger
from solver.masks.occupancy import Occupancy
from solver.masks.shapes import NOTHING, Spaced, Without
from solver.masks.starts import Sites, Starts
from solver.masks.waits import Offsets
from solver.schedule import PlacedPart, PlacedVisit
from solver.sites import Site
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
        self._agreed: dict[tuple[object, ...], bool] = {}
        self._hopeless: set[tuple[int, Offsets]] = set()
        self._lenient = "applicator" in without

    def complete(self, start: int, spaced: Spaced, therapist: StaffMember | None, sites: Sites) -> PlacedVisit | None:
        """The visit placed at ``start``, or None where its battery, its own stays or its items stand in the way.

        ``sites`` None: each stay's site is chosen here.
        """
        offsets = spaced.offsets
        if sites is None and (start, offsets) in self._hopeless:
            return None
        hands = items = None
        agreed = False
        for chosen in self._site_choices(start, spaced, sites):
            if not self.stays_agree(start, spaced, chosen):
                continue
            agreed = True
            # Asked for once a site has power: most starts that fail fail there.
            hands = hands or self._hands(start, offsets, therapist)
            items = items or (self._items(start, offsets) if hands is not None else None)
            if hands is None or items is None:
                return None
            parts = self._parts(start, offsets, chosen, hands, items)
            if parts is not None:
                return PlacedVisit(id=self.visit.id, therapist=therapist.id if therapist else None, parts=tuple(parts))
        if sites is None and not agreed:
            self._hopeless.add((start, offsets))
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
            ranked = sorted(open_sites[len(chosen)], key=lambda site: not chosen or site.key != chosen[-1].key)
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
        items: Sequence[Names],
    ) -> list[PlacedPart] | None:
        parts: list[PlacedPart] = []
        for stay, site in zip(self.visit.stays, sites, strict=True):
            first, last = start + offsets[stay[0]], start + offsets[stay[-1]] + self.visit.parts[stay[-1]].minutes
            bays = self.starts.bays(stay, site)
            bay = next((b for b in bays if self._free(self.ledger.bays[b], first, last, "bay")), None)
            if bay is None:
                return None
            for i in stay:
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
                        items=items[i],
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

    def _items(self, start: int, offsets: Offsets) -> list[dict[str, tuple[str, ...]]] | None:
        """The items of each part, chosen for all stays together; None where some pool has too few."""
        visit = self.visit
        names: list[dict[str, tuple[str, ...]]] = [{} for _ in visit.parts]
        stay_of = {i: number for number, stay in enumerate(visit.stays) for i in stay}
        for pool_id in dict.fromkeys(pool for part in visit.parts for pool in part.applicators):
            users = [i for i, part in enumerate(visit.parts) if pool_id in part.applicators]
            uses = []
            for i in users:
                fixed, begin = self.starts.shape.fixed[i].items, start + offsets[i]
                named = None if fixed is None else fixed.get(pool_id, ())
                end, need = begin + visit.parts[i].minutes, visit.parts[i].applicators[pool_id]
                uses.append(PoolUse(stay_of[i], begin, end, need, named))
            chosen = choose_items(self.day.applicator_by_id[pool_id], uses, self._item_free, self._lenient)
            if chosen is None:
                return None
            for i, ids in zip(users, chosen, strict=True):
                names[i][pool_id] = ids
        return names

    def _item_free(self, item: str, start: int, end: int) -> bool:
        return self._free(self.ledger.items[item], start, end, "applicator")

    def stays_agree(self, start: int, spaced: Spaced, sites: tuple[Site, ...]) -> bool:
        """True where batteries last and the visit's own stays do not stand in each other's way (but for items).

        Asked once for each, whoever the therapist is.
        """
        key = (start, spaced.offsets, *(site.key for site in sites))
        found = self._agreed.get(key)
        if found is None:
            found = self._moves_in_time(spaced, sites) and self._batteries_last(start, spaced, sites)
            self._agreed[key] = found
        return found

    def _moves_in_time(self, spaced: Spaced, sites: Sequence[Site]) -> bool:
        if len(sites) == 1 or "place" in self.without:
            return True
        stays = list(zip(spaced.stays, sites, strict=True))
        return not any(
            there.unit.id == here.unit.id
            and there.place.id != here.place.id
            and later.first - stay.first - stay.length < self.day.move_min
            for (stay, there), (later, here) in combinations(stays, 2)
        )

    def _batteries_last(self, start: int, spaced: Spaced, sites: Sequence[Site]) -> bool:
        if "battery" in self.without:
            return True
        batteries, shape = self.ledger.batteries, self.starts.shape
        units = [site.unit.id for site in sites]
        further: dict[str, list[Load]] = {}
        for stay, site in zip(spaced.stays, sites, strict=True):
            begin, battery = start + stay.first, site.unit.battery
            if battery is None or not batteries.matters(site.unit.id):
                continue
            if units.count(site.unit.id) == 1:
                if not batteries.lasting(site, shape.draw(spaced, stay), 1 << begin):
                    return False
                continue
            parts = [(self.visit.parts[i], start + spaced.offsets[i]) for i in stay.parts]
            load = load_of(battery, Interval(begin, begin + stay.length), site.place.id, parts)
            further.setdefault(site.unit.id, []).append(load)
        return all(batteries.last(unit, loads) for unit, loads in further.items())
