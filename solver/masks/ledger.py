"""What every resource of a day has free, given the visits and breaks that are placed."""

from collections.abc import Iterator

from solver.clinic import StaffMember
from solver.clock import DAY_MIN, Interval
from solver.masks.bits import ALL, span, union
from solver.masks.energy import Load, keeps_reserve, load_of
from solver.masks.occupancy import Headroom, Occupancy
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedVisit
from solver.stays import Stay, visit_stays
from solver.visits import Part
from solver.watches import watches_of


class Ledger:
    """The occupancy of a day's resources. Visits and breaks are added and removed; nothing is checked on the way.

    A blocked span is widened by what must lie between two holders (turnaround, bay turnover, moving), so that a free
    run of a stay's own length is all that a further stay needs.
    """

    def __init__(self, day: Day) -> None:
        self.day = day
        self.grid = union(1 << minute for minute in range(0, DAY_MIN, day.step_min))
        self.visits: dict[str, PlacedVisit] = {}
        self.breaks: dict[tuple[str, int], PlacedBreak] = {}
        self._levels = sorted(
            {part.suction_kpa for visit in day.visits for part in visit.parts if part.suction_kpa is not None}
        )
        self.channels = {(unit.id, channel.id): Occupancy() for unit in day.units for channel in unit.channels}
        self.patients = {unit.id: Headroom(min(unit.patients_at_once, len(day.visits) + 1)) for unit in day.units}
        self.elsewhere = {(unit.id, place.id): Occupancy() for unit in day.units for place in day.places}
        self.bays = {bay: Occupancy() for place in day.places for bay in place.bays}
        self.suction = {(unit.id, level): Occupancy() for unit in day.units for level in self._levels}
        self.items = {item: Occupancy() for pool in day.applicators for item in pool.items}
        self.staff = {member.id: Occupancy() for member in day.staff}
        self.patient = {visit.patient: Occupancy() for visit in day.visits}
        self.loads: dict[str, dict[str, list[Load]]] = {unit.id: {} for unit in day.units}
        self.on_duty = {member.id: union(span(*hours) for hours in member.hours) for member in day.staff}
        self._shifts: dict[tuple[str, int], int] = {}
        self._turnaround = {item: pool.turnaround_min for pool in day.applicators for item in pool.items}
        self.watches = watches_of(day)
        self.watch = self._full_watch()

    def _full_watch(self) -> Headroom:
        watch = Headroom(sum(free for free, _ in self.watches.values()))
        for id, (free, _) in self.watches.items():
            watch.take(ALL & ~self.on_duty[id], free)
        return watch

    def lost_watch(self, staff: str) -> int:
        """How many fewer unattended parts the member can watch with their hands busy."""
        free, busy = self.watches[staff]
        return free - busy

    def shift(self, member: StaffMember, minutes: int) -> int:
        """The minutes from which so many lie in one interval of the member's hours (touching ones are not joined)."""
        key = (member.id, minutes)
        found = self._shifts.get(key)
        if found is None:
            found = union(span(start, end - minutes + 1) for start, end in member.hours)
            self._shifts[key] = found
        return found

    def add(self, placed: PlacedVisit) -> None:
        """Take everything that the placed visit holds."""
        visit = self.day.visit_by_id[placed.id]
        key = placed.id
        self.visits[key] = placed
        for stay in visit_stays(visit, placed):
            self._hold_stay(key, stay)
        for part, where in zip(visit.parts, placed.parts, strict=True):
            mask = span(where.start, where.start + part.minutes)
            for ids in where.channels.values():
                for channel in ids:
                    self.channels[where.unit, channel].add(key, mask)
            if part.suction_kpa is not None:
                for level in self._levels:
                    if level != part.suction_kpa:
                        self.suction[where.unit, level].add(key, mask)
        end = max(where.start + part.minutes for part, where in zip(visit.parts, placed.parts, strict=True))
        self.patient[visit.patient].add(key, span(placed.parts[0].start, end))
        for who, minutes in self._hands(placed):
            self.staff[who].add(key, span(*minutes))
            self.watch.take(span(*minutes), self.lost_watch(who))
        for minutes in self._unattended(placed):
            self.watch.take(span(*minutes))

    def _hold_stay(self, key: str, stay: Stay) -> None:
        day, (start, end) = self.day, stay.interval
        self.patients[stay.unit].take(span(start, end))
        widened = span(start - day.move_min, end + day.move_min)
        for place in day.places:
            if place.id != stay.place:
                self.elsewhere[stay.unit, place.id].add(key, widened)
        self.bays[stay.bay].add(key, span(start - day.bay_turnover_min, end + day.bay_turnover_min))
        for item, hold in holds_of(stay):
            turnaround = self._turnaround[item]
            self.items[item].add(key, span(hold.start - turnaround, hold.end + turnaround))
        battery = day.unit_by_id[stay.unit].battery
        if battery is not None:
            load = load_of(battery, stay.interval, stay.place, [(part, where.start) for part, where in stay.parts])
            self.loads[stay.unit].setdefault(key, []).append(load)

    def remove(self, id: str) -> PlacedVisit:
        """Give back everything that the visit holds, and return where it was."""
        placed = self.visits.pop(id)
        visit = self.day.visit_by_id[id]
        for stay in visit_stays(visit, placed):
            self.patients[stay.unit].give(span(*stay.interval))
            for place in self.day.places:
                self.elsewhere[stay.unit, place.id].remove(id)
            self.bays[stay.bay].remove(id)
            for item, _ in holds_of(stay):
                self.items[item].remove(id)
            self.loads[stay.unit].pop(id, None)
        for where in placed.parts:
            for ids in where.channels.values():
                for channel in ids:
                    self.channels[where.unit, channel].remove(id)
            for level in self._levels:
                self.suction[where.unit, level].remove(id)
        self.patient[visit.patient].remove(id)
        for who, minutes in self._hands(placed):
            self.staff[who].remove(id)
            self.watch.give(span(*minutes), self.lost_watch(who))
        for minutes in self._unattended(placed):
            self.watch.give(span(*minutes))
        return placed

    def add_break(self, index: int, taken: PlacedBreak) -> None:
        """Take the member's break number ``index`` (its place in the day file's list)."""
        self.breaks[taken.staff, index] = taken
        self.staff[taken.staff].add(("break", index), span(taken.start, taken.end))
        self.watch.take(self._away(taken), self.watches[taken.staff][0])

    def remove_break(self, staff: str, index: int) -> PlacedBreak:
        taken = self.breaks.pop((staff, index))
        self.staff[staff].remove(("break", index))
        self.watch.give(self._away(taken), self.watches[staff][0])
        return taken

    def _away(self, taken: PlacedBreak) -> int:
        return span(taken.start, taken.end) & self.on_duty[taken.staff]

    def battery_keeps(self, unit_id: str, further: list[Load]) -> bool:
        """True where the unit's battery keeps its reserve with its present stays and the further ones."""
        unit = self.day.unit_by_id[unit_id]
        if unit.battery is None:
            return True
        present = [load for loads in self.loads[unit_id].values() for load in loads]
        return keeps_reserve(unit.battery, self.day.open, self.day.move_min, [*present, *further])

    def _phases(self, placed: PlacedVisit) -> Iterator[tuple[Part, str | None, Interval, bool]]:
        visit = self.day.visit_by_id[placed.id]
        for part, where in zip(visit.parts, placed.parts, strict=True):
            for (phase, minutes), who in zip(part.phases_at(where.start), where.hands, strict=True):
                yield part, who, minutes, phase.unattended

    def _hands(self, placed: PlacedVisit) -> list[tuple[str, Interval]]:
        return [(who, minutes) for _, who, minutes, _ in self._phases(placed) if who is not None]

    def _unattended(self, placed: PlacedVisit) -> list[Interval]:
        return [minutes for _, _, minutes, unattended in self._phases(placed) if unattended]


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
