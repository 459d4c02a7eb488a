"""What every resource of a day has free, given the visits and breaks that are placed."""

from collections.abc import Hashable
from typing import NamedTuple

from solver.clinic import StaffMember, Unit
from solver.clock import DAY_MIN, Interval
from solver.masks.batteries import Batteries
from solver.masks.bits import ALL, span, union
from solver.masks.eligible import Eligible
from solver.masks.energy import Load, load_of
from solver.masks.occupancy import Duty, Headroom, Occupancy
from solver.masks.shapes import Shape
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedVisit
from solver.stays import Stay, visit_stays
from solver.visits import Visit
from solver.watches import watches_of

Found = dict[Hashable, int]
"""Sets of minutes found for one unit, place or pool, forgotten as soon as a visit there comes or goes."""

NO_BAY = "\0"
"""Stands for a bay that is still to be chosen: a stay in it holds none. No file can name it."""

KEPT_FOR_EACH = 8
"""Placings of each visit, on the average, whose holdings are kept."""


class _Holding(NamedTuple):
    """What one visit holds: resources of its own, counted resources with how many, and battery loads by unit."""

    occupied: list[tuple[Occupancy, int]]
    counted: list[tuple[Headroom, int, int]]
    loads: list[tuple[str, Load]]


class Ledger:
    """The occupancy of a day's resources. Visits and breaks are added and removed; nothing is checked on the way.

    A blocked span is widened by what must lie between two holders (turnaround, bay turnover, moving), so that a free
    run of a stay's own length is all that a further stay needs.
    """

    def __init__(self, day: Day) -> None:
        self.day = day
        self.eligible = Eligible(day)
        self.grid = union(1 << minute for minute in range(0, DAY_MIN, day.step_min))
        self.visits: dict[str, PlacedVisit] = {}
        self._holdings: dict[str, _Holding] = {}
        self._kept: dict[int, tuple[PlacedVisit, _Holding]] = {}
        self.breaks: dict[tuple[str, int], PlacedBreak] = {}
        self._levels = sorted(
            {part.suction_kpa for visit in day.visits for part in visit.parts if part.suction_kpa is not None}
        )
        self.channels = {(unit.id, channel.id): Occupancy() for unit in day.units for channel in unit.channels}
        self.patients = {unit.id: Headroom(min(unit.patients_at_once, len(day.visits) + 1)) for unit in day.units}
        self.elsewhere: dict[tuple[str, str], Occupancy] = {}
        self._not_at: dict[tuple[str, str], list[Occupancy]] = {}
        for unit in day.units:
            self._know_places(unit)
        self.bays = {bay: Occupancy() for place in day.places for bay in (*place.bays, NO_BAY)}
        self.suction = {(unit.id, level): Occupancy() for unit in day.units for level in self._levels}
        self.items = {item: Occupancy() for pool in day.applicators for item in pool.items}
        self.staff = {member.id: Duty(member.hours) for member in day.staff}
        self.patient = {visit.patient: Occupancy() for visit in day.visits}
        self.batteries = Batteries(day)
        self.on_duty = {member.id: union(span(*hours) for hours in member.hours) for member in day.staff}
        self.watches = watches_of(day)
        self.watch = self._full_watch()
        self.helpers = sorted(day.staff, key=lambda m: (m.kind == "therapist", self.lost_watch(m.id)))
        """The staff for phases that anyone may do: assistants first, and whose watch suffers least."""
        self._alike: dict[int, list[Duty]] = {}
        for member in day.staff:
            self._alike.setdefault(self.lost_watch(member.id), []).append(self.staff[member.id])
        self.on_units: dict[str, Found] = {unit.id: {} for unit in day.units}
        self.in_places: dict[str, Found] = {place.id: {} for place in day.places}
        self.in_pools: dict[str, Found] = {pool.id: {} for pool in day.applicators}
        self._hands: Found = {}
        self._in_service: dict[tuple[str, int], int] = {}
        self._shapes: dict[str, Shape] = {}
        self._turnaround = {item: pool.turnaround_min for pool in day.applicators for item in pool.items}

    def _full_watch(self) -> Headroom:
        watch = Headroom(sum(free for free, _ in self.watches.values()))
        for id, (free, _) in self.watches.items():
            watch.take(ALL & ~self.on_duty[id], free)
        return watch

    def lost_watch(self, staff: str) -> int:
        """How many fewer unattended parts the member can watch with their hands busy."""
        free, busy = self.watches[staff]
        return free - busy

    def _know_places(self, unit: Unit) -> None:
        """For each place, when the unit is at another; those where it never stands share one answer."""
        never = Occupancy()
        at = {place.id: Occupancy() if place.id in unit.places else never for place in self.day.places}
        for place, elsewhere in at.items():
            self.elsewhere[unit.id, place] = elsewhere
            self._not_at[unit.id, place] = [other for other in dict.fromkeys(at.values()) if other is not elsewhere]

    def shape_of(self, visit: Visit) -> Shape:
        """The visit's shape, counted once."""
        known = self._shapes.get(visit.id)
        if known is None or known.visit is not visit:
            known = self._shapes[visit.id] = Shape(self.eligible, visit, self.grid)
        return known

    def know(self, visit: Visit) -> None:
        """Be ready for questions about a visit that is not of the day: of another patient, at another suction level."""
        self.patient.setdefault(visit.patient, Occupancy())
        for level in {part.suction_kpa for part in visit.parts} - {None, *self._levels}:
            if level is not None:
                self._levels.append(level)
                self._know_level(level)

    def _know_level(self, level: int) -> None:
        """All suction so far is at other levels, and in the way of this one."""
        self.suction.update({(unit.id, level): Occupancy() for unit in self.day.units})
        self._kept.clear()  # what was kept does not know the level
        for id, placed in self.visits.items():
            for part, where in zip(self.day.visit_by_id[id].parts, placed.parts, strict=True):
                if part.suction_kpa is not None:
                    pump, mask = self.suction[where.unit, level], span(where.start, where.start + part.minutes)
                    self._holdings[id].occupied.append((pump, mask))
                    pump.add(id, mask)

    def hands(self, member: StaffMember, minutes: int) -> int:
        """The minutes from which the member can do a phase so long, with enough watch left meanwhile."""
        key = (member.id, minutes)
        found = self._hands.get(key)
        if found is None:
            found = self.staff[member.id].shifts(minutes)
            lost = self.lost_watch(member.id)
            if lost and found:
                found &= self.watch.runs(lost, minutes)
            self._hands[key] = found
        return found

    def anyone(self, minutes: int) -> int:
        """The minutes from which somebody can do a phase so long."""
        found = self._hands.get(minutes)
        if found is None:
            found = 0
            for lost, duties in self._alike.items():
                free = union([duty.shifts(minutes) for duty in duties])
                found |= free & self.watch.runs(lost, minutes) if lost else free
            self._hands[minutes] = found
        return found

    def in_service(self, unit: Unit, minutes: int) -> int:
        """The minutes from which so many lie in one interval of the unit's hours."""
        key = (unit.id, minutes)
        found = self._in_service.get(key)
        if found is None:
            hours = self.day.unit_hours(unit)
            found = self._in_service[key] = union(span(start, end - minutes + 1) for start, end in hours)
        return found

    def add(self, placed: PlacedVisit) -> None:
        """Take everything that the placed visit holds."""
        key, holding = placed.id, self._holding_of(placed)
        self.visits[key] = placed
        self._holdings[key] = holding
        self._forget(placed)
        for resource, mask in holding.occupied:
            resource.add(key, mask)
        for counted, mask, n in holding.counted:
            counted.take(mask, n)
        for unit, load in holding.loads:
            self.batteries.add(key, unit, load)

    def remove(self, id: str) -> PlacedVisit:
        """Give back everything that the visit holds, and return where it was."""
        placed, holding = self.visits.pop(id), self._holdings.pop(id)
        self._forget(placed)
        for resource, _ in holding.occupied:
            resource.remove(id)
        for counted, mask, n in holding.counted:
            counted.give(mask, n)
        for unit, _ in holding.loads:
            self.batteries.remove(id, unit)
        return placed

    def _holding_of(self, placed: PlacedVisit) -> _Holding:
        """What the placed visit holds; kept, since a search puts the same one back again and again."""
        known = self._kept.get(id(placed))
        if known is not None:
            return known[1]
        if len(self._kept) > KEPT_FOR_EACH * len(self.day.visits):
            self._kept.clear()
        holding = self._holding(placed)
        self._kept[id(placed)] = (placed, holding)
        return holding

    def _holding(self, placed: PlacedVisit) -> _Holding:
        """Everything that the placed visit holds."""
        visit, holding = self.day.visit_by_id[placed.id], _Holding([], [], [])
        for stay in visit_stays(visit, placed):
            self._hold_stay(holding, stay)
        hands: dict[str, int] = {}
        unattended, end = 0, 0
        for part, where in zip(visit.parts, placed.parts, strict=True):
            mask = span(where.start, where.start + part.minutes)
            end = max(end, where.start + part.minutes)
            for ids in where.channels.values():
                holding.occupied.extend([(self.channels[where.unit, channel], mask) for channel in ids])
            if part.suction_kpa is not None:
                others = (level for level in self._levels if level != part.suction_kpa)
                holding.occupied.extend([(self.suction[where.unit, level], mask) for level in others])
            for (phase, minutes), who in zip(part.phases_at(where.start), where.hands, strict=True):
                if who is not None:
                    hands[who] = hands.get(who, 0) | span(*minutes)
                if phase.unattended:
                    unattended |= span(*minutes)
        holding.occupied.append((self.patient[visit.patient], span(placed.parts[0].start, end)))
        for who, mask in hands.items():
            holding.occupied.append((self.staff[who], mask))
            holding.counted.append((self.watch, mask, self.lost_watch(who)))
        holding.counted.append((self.watch, unattended, 1))
        return holding

    def _hold_stay(self, holding: _Holding, stay: Stay) -> None:
        day, minutes, place = self.day, stay.interval, stay.place
        unit, (start, end) = day.unit_by_id[stay.unit], minutes
        holding.counted.append((self.patients[unit.id], span(start, end), 1))
        widened = span(start - day.move_min, end + day.move_min)
        holding.occupied.extend([(other, widened) for other in self._not_at[unit.id, place]])
        bay = span(start - day.bay_turnover_min, end + day.bay_turnover_min)
        holding.occupied.append((self.bays[stay.bay], bay))
        for item, hold in holds_of(stay):
            turnaround = self._turnaround[item]
            holding.occupied.append((self.items[item], span(hold.start - turnaround, hold.end + turnaround)))
        if unit.battery is not None:
            load = load_of(unit.battery, minutes, place, [(part, where.start) for part, where in stay.parts])
            holding.loads.append((unit.id, load))

    def _forget(self, placed: PlacedVisit) -> None:
        """What was found about resources that the visit holds is no longer so."""
        self._hands.clear()
        for part in placed.parts:
            self.on_units[part.unit].clear()
            self.in_places[part.place].clear()
            for pool in part.items:
                self.in_pools[pool].clear()

    def add_break(self, index: int, taken: PlacedBreak) -> None:
        """Take the member's break number ``index`` (its place in the day file's list)."""
        self.breaks[taken.staff, index] = taken
        self._hands.clear()
        self.staff[taken.staff].add(("break", index), span(taken.start, taken.end))
        self.watch.take(self._away(taken), self.watches[taken.staff][0])

    def remove_break(self, staff: str, index: int) -> PlacedBreak:
        taken = self.breaks.pop((staff, index))
        self._hands.clear()
        self.staff[staff].remove(("break", index))
        self.watch.give(self._away(taken), self.watches[staff][0])
        return taken

    def _away(self, taken: PlacedBreak) -> int:
        return span(taken.start, taken.end) & self.on_duty[taken.staff]


def holds_of(stay: Stay) -> list[tuple[str, Interval]]:
    """Each item that the stay names, held from the start of the first part that names it to the end of the last."""
    first: dict[str, int] = {}
    last: dict[str, int] = {}
    for part, where in stay.parts:
        for items in where.items.values():
            for item in items:
                first.setdefault(item, where.start)
                last[item] = where.start + part.minutes
    return [(item, Interval(first[item], last[item])) for item in first]
