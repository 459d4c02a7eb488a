"""At which minutes a visit can start in a plan, rule by rule, for one way of spacing its parts.

Each function answers with the set of *visit* starts at which one rule holds: a part at offset ``o`` that is free from
minute ``t`` lets the visit start at ``t - o``, hence the shifts to the right.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from solver.clinic import Applicator, StaffMember, Unit
from solver.clock import DAY_MIN, Interval
from solver.masks.bits import ALL, at_least, span, union
from solver.masks.ledger import Ledger
from solver.masks.waits import Offsets
from solver.names import RuleName
from solver.sites import Site, allowed_sites
from solver.visits import Part, Visit

Without = frozenset[RuleName]
"""Rules that are not asked for, when one wants to know what stands in the way."""

NOTHING: Without = frozenset()


class Starts:
    """The start sets of one visit in one ledger; ``without`` names rules that are left aside."""

    def __init__(self, ledger: Ledger, visit: Visit, without: Without = NOTHING) -> None:
        self.ledger = ledger
        self.day = ledger.day
        self.visit = visit
        self.without = without
        self._sites: dict[tuple[int, ...], list[Site]] = {}

    def sites(self, stay: tuple[int, ...]) -> list[Site]:
        """Every unit and place that the stay's parts, the visit's tags and what is fixed allow, at any time."""
        found = self._sites.get(stay)
        if found is None:
            found = allowed_sites(self.day, self.visit, stay, self.without)
            if "fixed" not in self.without:
                found = [site for site in found if self._fixed_here(stay, site)]
            self._sites[stay] = found
        return found

    def _fixed_here(self, stay: Sequence[int], site: Site) -> bool:
        for fixed in (self.visit.fixed_part(i) for i in stay):
            if fixed.unit not in (None, site.unit.id) or fixed.place not in (None, site.place.id):
                return False
            if fixed.bay is not None and fixed.bay not in site.place.bays:
                return False
        return True

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

    def of_visit(self, offsets: Offsets) -> int:
        """Grid, opening hours, the patient's own time, fixed starts, and a watch for what runs unattended."""
        day, visit = self.day, self.visit
        total = offsets[-1] + visit.parts[-1].minutes
        found = span(0, DAY_MIN) if "grid" in self.without else self.ledger.grid
        if "hours" not in self.without:
            found &= span(day.open, day.close - total + 1)
        if "patient" not in self.without:
            found &= union(span(start, end - total + 1) for start, end in day.visit_free(visit))
            found &= self.ledger.patient[visit.patient].runs(total)
        if "fixed" not in self.without:
            for i, offset in enumerate(offsets):
                start = visit.fixed_part(i).start
                if start is not None:
                    found &= span(start - offset, start - offset + 1)
        if "watch" not in self.without:
            for part, offset in zip(visit.parts, offsets, strict=True):
                for phase, minutes in part.phases_at(offset):
                    if phase.unattended:
                        found &= self.ledger.watch.runs(1, phase.minutes) >> minutes.start
        return found & span(0, DAY_MIN - total + 1)

    def of_therapist(self, offsets: Offsets, member: StaffMember | None) -> int:
        """Every therapist phase in the member's hands."""
        found = ALL
        if member is not None:
            for part, offset in zip(self.visit.parts, offsets, strict=True):
                for phase, minutes in part.phases_at(offset):
                    if phase.hands == "therapist":
                        found &= self.of_hands(member, minutes)
        return found

    def of_anyone(self, offsets: Offsets) -> int:
        """Every phase that anyone may do in somebody's hands."""
        found = ALL
        for part, offset in zip(self.visit.parts, offsets, strict=True):
            for phase, minutes in part.phases_at(offset):
                if phase.hands == "anyone":
                    found &= union(self.of_hands(member, minutes) for member in self.day.staff)
        return found

    def of_hands(self, member: StaffMember, minutes: Interval) -> int:
        """The member does a phase at these minutes from the visit's start, and enough watch is left meanwhile."""
        length, found = minutes.minutes, ALL
        if "hands" not in self.without:
            found &= self.ledger.shift(member, length) & self.ledger.staff[member.id].runs(length)
        if "watch" not in self.without:
            found &= self.ledger.watch.runs(self.ledger.lost_watch(member.id), length)
        return found >> minutes.start

    def of_site(self, stay: Sequence[int], offsets: Offsets, site: Site) -> int:
        """Everything that a stay needs of a unit, its channels, a place and a bay."""
        ledger, unit = self.ledger, site.unit
        first = offsets[stay[0]]
        length = offsets[stay[-1]] + self.visit.parts[stay[-1]].minutes - first
        found = ALL
        if "hours" not in self.without:
            found &= union(span(start, end - length + 1) for start, end in self.day.unit_hours(unit))
        if "patients" not in self.without:
            found &= ledger.patients[unit.id].runs(1, length)
        if "place" not in self.without:
            found &= ledger.elsewhere[unit.id, site.place.id].runs(length)
        if "bay" not in self.without:
            found &= union(ledger.bays[bay].runs(length) for bay in self.bays(stay, site))
        found >>= first
        for i in stay:
            part, offset = self.visit.parts[i], offsets[i]
            if "suction" not in self.without and part.suction_kpa is not None:
                found &= ledger.suction[unit.id, part.suction_kpa].runs(part.minutes) >> offset
            if "channels" not in self.without:
                found &= self._of_channels(i, unit) >> offset
        return found

    def bays(self, stay: Sequence[int], site: Site) -> list[str]:
        """The bays of the site's place that what is fixed allows."""
        fixed = {self.visit.fixed_part(i).bay for i in stay} - {None}
        if not fixed or "fixed" in self.without:
            return list(site.place.bays)
        return [bay for bay in site.place.bays if fixed == {bay}]

    def _of_channels(self, index: int, unit: Unit) -> int:
        """Part starts at which enough different channels are free (Hall's condition over the part's outputs)."""
        part = self.visit.parts[index]
        fixed = self.visit.fixed_part(index).channels
        if fixed is not None and "fixed" not in self.without:
            return self._of_named_channels(part, unit, fixed)
        free = {c.id: self.ledger.channels[unit.id, c.id].runs(part.minutes) for c in unit.channels}
        outputs = tuple(part.channels)
        found = ALL
        for n in range(1, len(outputs) + 1):
            for chosen in combinations(outputs, n):
                able = [free[c.id] for c in unit.channels if not set(chosen).isdisjoint(c.drives)]
                found &= at_least(able, sum(part.channels[output] for output in chosen))
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
        found = ALL
        if "fixed" not in self.without:
            for i in stay:
                if not set(self.visit.fixed_part(i).items or ()).issubset(self.visit.parts[i].applicators):
                    return 0
        pools = {pool_id for i in stay for pool_id in self.visit.parts[i].applicators}
        for pool_id in pools:
            pool = self.day.applicator_by_id[pool_id]
            users = [i for i in stay if pool_id in self.visit.parts[i].applicators]
            found &= self._of_pool(pool, users, offsets)
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
            named = self.visit.fixed_part(i).items
            if named is None or "fixed" in self.without:
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

    def candidates(self, offsets: Offsets) -> Iterator[tuple[StaffMember | None, tuple[Site, ...] | None, int]]:
        """For each therapist and, where the visit is one stay, each site: the visit starts that no rule forbids.

        A visit of several stays has no sites named: the starts are those at which each stay has some site.
        """
        common = self.of_visit(offsets)
        if not common:
            return
        common &= self.of_anyone(offsets)
        if common and "applicator" not in self.without:
            for stay in self.visit.stays:
                common &= self._of_items(stay, offsets)
        if not common:
            return
        sited = list(self._sited(offsets, common))
        for member in self.therapists():
            mine = common & self.of_therapist(offsets, member)
            if mine:
                for sites, mask in sited:
                    if mask & mine:
                        yield member, sites, mask & mine

    def _sited(self, offsets: Offsets, common: int) -> Iterator[tuple[tuple[Site, ...] | None, int]]:
        stays = self.visit.stays
        if len(stays) == 1:
            for site in self.sites(stays[0]):
                mask = common & self.of_site(stays[0], offsets, site)
                if mask:
                    yield (site,), mask
            return
        for stay in stays:
            common &= union(self.of_site(stay, offsets, site) for site in self.sites(stay))
            if not common:
                return
        yield None, common
