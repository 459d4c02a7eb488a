"""At which minutes a visit can start in a plan, rule by rule, for one way of spacing its parts.

Each function answers with the set of *visit* starts at which one rule holds: a part at offset ``o`` that is free from
minute ``t`` lets the visit start at ``t - o``, hence the shifts to the right.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from solver.clinic import Applicator, StaffMember, Unit
from solver.masks.bits import ALL, at_least, union
from solver.masks.ledger import Ledger
from solver.masks.shapes import NOTHING, Shape, Spaced, StayShape, Without
from solver.masks.waits import Offsets
from solver.sites import Site
from solver.visits import Part, Visit

Sites = tuple[Site, ...] | None
"""Where each stay of a visit is; None where that is not settled yet."""


class Ways(NamedTuple):
    """The therapists and the sites that a visit may have with one spacing, each with the starts at which it may.

    A therapist and a site go together at the starts that both have.
    """

    members: list[tuple[StaffMember | None, int]]
    sites: list[tuple[Sites, int]]


class Prospects(NamedTuple):
    """The same of a visit that is one stay, where it is not known yet when a site is free: ``Starts.of_site`` says so.

    ``starts``: those at which some therapist may, and nothing but a site may stand in the way.
    """

    members: list[tuple[StaffMember | None, int]]
    starts: int


class Starts:
    """The start sets of one visit in one ledger; ``without`` names rules that are left aside.

    ``within``: the starts of the whole visit that are asked about.
    """

    def __init__(self, ledger: Ledger, visit: Visit, without: Without = NOTHING) -> None:
        self.ledger = ledger
        self.day = ledger.day
        self.visit = visit
        self.without = without
        self.within = ALL
        self.shape = Shape(ledger.eligible, visit, ledger.grid, without) if without else ledger.shape_of(visit)

    def of_visit(self, spaced: Spaced) -> int:
        """Grid, opening hours, the patient's own time, fixed starts, and a watch for what runs unattended."""
        found = spaced.allowed
        if found and "patient" not in self.without:
            found &= self.ledger.patient[self.visit.patient].runs(spaced.total)
        if found and "watch" not in self.without:
            for offset, minutes in spaced.unattended:
                found &= self.ledger.watch.runs(1, minutes) >> offset
        return found

    def of_therapist(self, spaced: Spaced, member: StaffMember | None) -> int:
        """Every therapist phase in the member's hands."""
        found = ALL
        if member is not None:
            for offset, minutes in spaced.by_therapist:
                found &= self.of_hands(member, minutes) >> offset
        return found

    def of_anyone(self, spaced: Spaced) -> int:
        """Every phase that anyone may do in somebody's hands."""
        found = ALL
        for offset, minutes in spaced.by_anyone:
            if self.without:
                found &= union(self.of_hands(member, minutes) for member in self.day.staff) >> offset
            else:
                found &= self.ledger.anyone(minutes) >> offset
        return found

    def of_hands(self, member: StaffMember, minutes: int) -> int:
        """The starts of a phase so long that the member can do, with enough watch left meanwhile."""
        ledger, found = self.ledger, ALL
        if not self.without:
            return ledger.hands(member, minutes)
        if "hands" not in self.without:
            found &= ledger.staff[member.id].shifts(minutes)
        if "watch" not in self.without:
            found &= ledger.watch.runs(ledger.lost_watch(member.id), minutes)
        return found

    def of_site(self, stay: StayShape, spaced: Spaced, site: Site, within: int = ALL) -> int:
        """Those starts of ``within`` at which a stay has all it needs of a unit, its channels, a place and a bay."""
        ledger, unit, length = self.ledger, site.unit, stay.length
        found = within << stay.first
        if "hours" not in self.without:
            found &= ledger.in_service(unit, length)
        if "patients" not in self.without:
            found &= ledger.patients[unit.id].runs(1, length)
        if found and "place" not in self.without:
            found &= ledger.elsewhere[site.key].runs(length)
        if found and "bay" not in self.without:
            found &= self._of_bays(stay, site)
        found >>= stay.first
        for i in stay.parts:
            if not found:
                break
            found &= self._of_part(i, unit) >> spaced.offsets[i]
        return found

    def _of_bays(self, stay: StayShape, site: Site) -> int:
        bays, known = self.bays(stay.parts, site), self.ledger.in_places[site.place.id]
        if len(bays) < len(site.place.bays):
            return union(self.ledger.bays[bay].runs(stay.length) for bay in bays)
        found = known.get(stay.length)
        if found is None:
            found = known[stay.length] = union(self.ledger.bays[bay].runs(stay.length) for bay in bays)
        return found

    def bays(self, stay: Sequence[int], site: Site) -> Sequence[str]:
        """The bays of the site's place that what is fixed allows."""
        if self.visit.fixed is None:
            return site.place.bays
        fixed = {self.shape.fixed[i].bay for i in stay} - {None}
        return [bay for bay in site.place.bays if fixed == {bay}] if fixed else site.place.bays

    def _of_part(self, index: int, unit: Unit) -> int:
        """Part starts at which the unit has the part's channels free, and its pump at the part's level."""
        part, fixed = self.visit.parts[index], self.shape.fixed[index].channels
        if self.without or fixed is not None:
            return self._of_pump(part, unit) & self._of_channels(part, unit, fixed)
        key = (part.minutes, part.suction_kpa, *part.channels.items())
        known = self.ledger.on_units[unit.id]
        found = known.get(key)
        if found is None:
            found = known[key] = self._of_pump(part, unit) & self._of_channels(part, unit, None)
        return found

    def _of_pump(self, part: Part, unit: Unit) -> int:
        if "suction" in self.without or part.suction_kpa is None:
            return ALL
        return self.ledger.suction[unit.id, part.suction_kpa].runs(part.minutes)

    def _of_channels(self, part: Part, unit: Unit, fixed: Mapping[str, tuple[str, ...]] | None) -> int:
        """Part starts at which enough different channels are free."""
        if "channels" in self.without:
            return ALL
        if fixed is not None:
            return self._of_named_channels(part, unit, fixed)
        found, channels = ALL, self.ledger.channels
        for able, need in self.ledger.eligible.cuts(unit, part):
            found &= at_least([channels[channel].runs(part.minutes) for channel in able], need)
        return found

    def _of_named_channels(self, part: Part, unit: Unit, named: Mapping[str, tuple[str, ...]]) -> int:
        wanted = {output: len(ids) for output, ids in named.items()}
        ids = [id for ids in named.values() for id in ids]
        if wanted != dict(part.channels) or len(set(ids)) != len(ids):
            return 0
        found = ALL
        for output, channel_ids in named.items():
            for id in channel_ids:
                channel = unit.channel(id)
                if channel is None or output not in channel.drives:
                    return 0
                found &= self.ledger.channels[unit.id, id].runs(part.minutes)
        return found

    def _of_items(self, stay: Sequence[int], offsets: Offsets) -> int:
        """Visit starts at which every pool has the items that the stay needs."""
        parts, fixed = self.visit.parts, self.shape.fixed
        for i in stay:
            if not set(fixed[i].items or ()).issubset(parts[i].applicators):
                return 0
        found = ALL
        for pool_id in {pool_id for i in stay for pool_id in parts[i].applicators}:
            pool = self.day.applicator_by_id[pool_id]
            users = [i for i in stay if pool_id in parts[i].applicators]
            if len(users) == 1 and fixed[users[0]].items is None:
                found &= self._of_any_items(pool, parts[users[0]]) >> offsets[users[0]]
            else:
                found &= self._of_pool(pool, users, offsets)
        return found

    def _of_any_items(self, pool: Applicator, part: Part) -> int:
        """Part starts at which the pool has as many items as the part needs."""
        need, known = part.applicators[pool.id], self.ledger.in_pools[pool.id]
        found = known.get((need, part.minutes))
        if found is None:
            free = [self.ledger.items[item].runs(part.minutes) for item in pool.items]
            found = known[need, part.minutes] = at_least(free, need)
        return found

    def _of_pool(self, pool: Applicator, users: Sequence[int], offsets: Offsets) -> int:
        """Exact for one or two parts that need the pool; for more, what each part needs alone.

        With two, an item serves both where it is free all through, else one of them: enough items exist where each
        part finds its own and all of them together count up to what both need (a cut of the flow).
        """
        parts = self.visit.parts
        ends = {i: offsets[i] + parts[i].minutes for i in users}
        alone = {
            i: {item: self.ledger.items[item].runs(parts[i].minutes) >> offsets[i] for item in pool.items}
            for i in users
        }
        found = ALL
        for i in users:
            need = parts[i].applicators[pool.id]
            named = self.shape.fixed[i].items
            if named is None:
                found &= at_least(list(alone[i].values()), need)
            else:
                ids = named.get(pool.id, ())
                if len(set(ids)) != need or len(ids) != need:
                    return 0
                for item in ids:
                    found &= alone[i][item]
        if len(users) == 2:
            first, second = users
            through = {
                item: self.ledger.items[item].runs(ends[second] - offsets[first]) >> offsets[first]
                for item in pool.items
            }
            once = [alone[first][item] | alone[second][item] for item in pool.items]
            needed = parts[first].applicators[pool.id] + parts[second].applicators[pool.id]
            found &= at_least([*once, *through.values()], needed)
        return found

    def in_hands(self, spaced: Spaced, within: int = ALL) -> int:
        """Those of the starts at which there are staff and items, and the patient may come: all but a site."""
        common = self._common(spaced) & within
        if common and spaced.by_therapist:
            common &= union(self.of_therapist(spaced, member) for member in self.shape.therapists)
        return common if self.shape.therapists else 0

    def _common(self, spaced: Spaced) -> int:
        """All but therapists and sites."""
        common = self.of_visit(spaced) & self.within
        if common:
            common &= self.of_anyone(spaced)
        if "applicator" not in self.without:
            for stay in spaced.stays:
                if common:
                    common &= self._of_items(stay.parts, spaced.offsets)
        return common

    def prospects(self, spaced: Spaced) -> Prospects | None:
        """Who, and when, as far as sites are left aside: None where no start is left."""
        common = self._common(spaced)
        if not common:
            return None
        members = [(member, common & self.of_therapist(spaced, member)) for member in self.shape.therapists]
        members = [(member, mask) for member, mask in members if mask]
        return Prospects(members, common & union(mask for _, mask in members)) if members else None

    def ways(self, spaced: Spaced) -> Ways | None:
        """Who and where, and when: None where no rule-keeping start is left.

        A visit of several stays has no sites named: the starts are those at which each stay has some site.
        """
        found = self.prospects(spaced)
        sites = list(self._sited(spaced, found.starts)) if found is not None else []
        return Ways(found.members, sites) if found is not None and sites else None

    def candidates(self, spaced: Spaced) -> Iterator[tuple[StaffMember | None, Sites, int]]:
        """For each therapist and, where the visit is one stay, each site: the visit starts that no rule forbids."""
        ways = self.ways(spaced)
        if ways is not None:
            for member, mine in ways.members:
                for sites, mask in ways.sites:
                    if mask & mine:
                        yield member, sites, mask & mine

    def _sited(self, spaced: Spaced, common: int) -> Iterator[tuple[Sites, int]]:
        stays = spaced.stays
        if len(stays) == 1:
            for site in self.shape.sites(stays[0].parts):
                mask = self.of_site(stays[0], spaced, site, common)
                if mask:
                    yield (site,), mask
            return
        for stay in stays:
            common = union(self.of_site(stay, spaced, site, common) for site in self.shape.sites(stay.parts))
            if not common:
                return
        yield None, common
