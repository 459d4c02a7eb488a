"""A second, deliberately naive judge of the resource rules: it paints every minute and looks at what lies where.

Written from the contract's text without the verifier's means: no sweeps, no sorted intervals, no shared helpers but
the day's own classes. It tells which rules a plan breaks, not where.
"""

from collections import Counter, defaultdict
from collections.abc import Mapping

from solver.clinic import Unit
from solver.problem import Day
from solver.schedule import PlacedPart, Plan
from solver.visits import Part

ORACLE_RULES = frozenset({"channels", "patients", "place", "bay", "suction", "applicator", "watch", "battery"})

StayId = tuple[str, int]
"""A visit and the index of the stay's first part."""


class Minutes:
    """Everything that a plan puts into each minute."""

    def __init__(self, day: Day, plan: Plan) -> None:
        self.on_unit: dict[tuple[str, int], set[StayId]] = defaultdict(set)
        self.at_place: dict[tuple[str, int], set[str]] = defaultdict(set)
        self.in_bay: dict[tuple[str, int], set[StayId]] = defaultdict(set)
        self.on_item: dict[tuple[str, int], set[StayId]] = defaultdict(set)
        self.on_channel: dict[tuple[str, str, int], int] = defaultdict(int)
        self.suction: dict[tuple[str, int], set[int]] = defaultdict(set)
        self.watts: dict[tuple[str, int], int] = defaultdict(int)
        self.pumping: set[tuple[str, int]] = set()
        self.unattended: dict[int, int] = defaultdict(int)
        self.busy: set[tuple[str, int]] = set()
        self.parts: list[tuple[Part, PlacedPart]] = []
        for placed_visit in plan.visits:
            visit = day.visit_by_id[placed_visit.id]
            stays: dict[StayId, list[tuple[Part, PlacedPart]]] = defaultdict(list)
            for i, part in enumerate(visit.parts):
                placed = placed_visit.parts[i]
                self.parts.append((part, placed))
                stays[visit.id, 0 if visit.same_unit else i].append((part, placed))
                self._paint_part(day, part, placed)
            for stay, parts in stays.items():
                self._paint_stay(stay, parts)

    def _paint_part(self, day: Day, part: Part, placed: PlacedPart) -> None:
        unit = day.unit_by_id[placed.unit]
        minute = placed.start
        for phase, who in zip(part.phases, placed.hands, strict=True):
            for _ in range(phase.minutes):
                for output, ids in placed.channels.items():
                    for channel in ids:
                        self.on_channel[unit.id, channel, minute] += 1
                        if phase.running and unit.battery is not None:
                            self.watts[unit.id, minute] += unit.battery.draw_w[output]
                if part.suction_kpa is not None:
                    self.suction[unit.id, minute].add(part.suction_kpa)
                    if phase.running:
                        self.pumping.add((unit.id, minute))
                if phase.hands == "nobody":
                    self.unattended[minute] += phase.running
                elif who is not None:
                    self.busy.add((who, minute))
                minute += 1

    def _paint_stay(self, stay: StayId, parts: list[tuple[Part, PlacedPart]]) -> None:
        first = parts[0][1]
        for minute in _all_minutes(parts):
            self.on_unit[first.unit, minute].add(stay)
            self.at_place[first.unit, minute].add(first.place)
            self.in_bay[first.bay, minute].add(stay)
        for item in {item for _, placed in parts for items in placed.items.values() for item in items}:
            naming = [pair for pair in parts if any(item in items for items in pair[1].items.values())]
            for minute in _all_minutes(naming):
                self.on_item[item, minute].add(stay)


def rules_broken(day: Day, plan: Plan) -> set[str]:
    """Which of ORACLE_RULES the plan breaks. Its shape holds and its ids exist."""
    minutes = Minutes(day, plan)
    broken = {
        "channels": _channels(day, minutes),
        "patients": any(
            len(there) > day.unit_by_id[unit].patients_at_once for (unit, _), there in minutes.on_unit.items()
        ),
        "place": _place(day, minutes),
        "bay": _bay(day, minutes),
        "suction": any(len(levels) > 1 for levels in minutes.suction.values()),
        "applicator": _applicator(day, minutes),
        "watch": _watch(day, plan, minutes),
        "battery": any(_flat(day, unit, minutes) for unit in day.units),
    }
    return {rule for rule, is_broken in broken.items() if is_broken}


def _all_minutes(parts: list[tuple[Part, PlacedPart]]) -> range:
    taken = [m for part, placed in parts for m in range(placed.start, placed.start + part.minutes)]
    return range(min(taken), max(taken) + 1)


def _channels(day: Day, minutes: Minutes) -> bool:
    for part, placed in minutes.parts:
        drives = {channel.id: channel.drives for channel in day.unit_by_id[placed.unit].channels}
        named = [(output, channel) for output, ids in placed.channels.items() for channel in ids]
        if Counter(output for output, _ in named) != Counter(part.channels):
            return True
        if len({channel for _, channel in named}) < len(named):
            return True
        if any(output not in drives.get(channel, ()) for output, channel in named):
            return True
    return any(parts > 1 for parts in minutes.on_channel.values())


def _place(day: Day, minutes: Minutes) -> bool:
    """Two minutes of a unit at two places, with fewer than ``move_min`` minutes between them."""
    return any(
        here != there
        for (unit, minute), places in minutes.at_place.items()
        for later in range(minute, minute + day.move_min + 1)
        for here in places
        for there in minutes.at_place.get((unit, later), ())
    )


def _bay(day: Day, minutes: Minutes) -> bool:
    if any(len(stays) > 1 for stays in minutes.in_bay.values()):
        return True
    return any(
        before[0] != after[0]
        for (bay, minute), stays in minutes.in_bay.items()
        for later in range(minute + 1, minute + day.bay_turnover_min + 1)
        for before in stays
        for after in minutes.in_bay.get((bay, later), ())
    )


def _applicator(day: Day, minutes: Minutes) -> bool:
    for part, placed in minutes.parts:
        for pool in day.applicators:
            items = placed.items.get(pool.id, ())
            if len(items) != part.applicators.get(pool.id, 0) or len(set(items)) != len(items):
                return True
            if not set(items) <= set(pool.items):
                return True
    turnaround = {item: pool.turnaround_min for pool in day.applicators for item in pool.items}
    return any(
        before != after
        for (item, minute), stays in minutes.on_item.items()
        for later in range(minute, minute + turnaround[item] + 1)
        for before in stays
        for after in minutes.on_item.get((item, later), ())
    )


def _watch(day: Day, plan: Plan, minutes: Minutes) -> bool:
    for minute, running in minutes.unattended.items():
        eyes = 0
        for member in day.staff:
            there = any(hours.start <= minute < hours.end for hours in member.hours)
            away = any(taken.staff == member.id and taken.start <= minute < taken.end for taken in plan.breaks)
            if there and not away:
                eyes += member.watch_busy if (member.id, minute) in minutes.busy else member.watch_free
        if running > eyes:
            return True
    return False


def _flat(day: Day, unit: Unit, minutes: Minutes) -> bool:
    battery = unit.battery
    if battery is None:
        return False
    plugged_in = _plugged_in(day, unit, minutes.at_place)
    level = battery.capacity_wh * 60 * battery.start_pct // 100
    for minute in range(day.open, day.close):
        if minute in plugged_in:
            level = min(level + battery.charge_w, battery.capacity_wh * 60)
        else:
            level -= battery.standby_w + minutes.watts[unit.id, minute]
            level -= battery.pump_w if (unit.id, minute) in minutes.pumping else 0
            level = max(level, 0)
        if minutes.on_unit.get((unit.id, minute)) and level * 100 < battery.capacity_wh * 60 * battery.reserve_pct:
            return True
    return False


def _plugged_in(day: Day, unit: Unit, at_place: Mapping[tuple[str, int], set[str]]) -> set[int]:
    battery = unit.battery
    assert battery is not None
    plugged_in: set[int] = set()
    idle: list[int] = []
    before: set[str] | None = None
    for minute in range(day.open, day.close + 1):
        here = at_place.get((unit.id, minute))
        if minute < day.close and not here:
            idle.append(minute)
            continue
        if before and here and before != here:
            idle = idle[: max(0, len(idle) - day.move_min)]
        if battery.charge_w and len(idle) >= battery.min_charge_min:
            plugged_in |= set(idle)
        idle, before = [], here
    return plugged_in
