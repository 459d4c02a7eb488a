"""Whether a unit's battery keeps its reserve through given stays; the search's own reckoning, from event to event.

The level falls while a stay is on the unit and nothing charges then, so within a stretch of stays it is lowest at the
stretch's end: only there it is judged. Between stretches the unit charges where the idle span is long enough.
"""

from collections.abc import Iterable
from typing import NamedTuple

from solver.clinic import Battery
from solver.clock import Interval, union_minutes
from solver.visits import Part


class Load(NamedTuple):
    """What one stay asks of a unit's battery: when it is there, where, what it draws, when it wants the pump."""

    stay: Interval
    place: str
    drawn_wmin: int
    pump: tuple[Interval, ...]


def load_of(battery: Battery, stay: Interval, place: str, parts: Iterable[tuple[Part, int]]) -> Load:
    """The load of a stay whose parts start at the given minutes, standby left aside."""
    drawn, pump = 0, []
    for part, start in parts:
        watts = sum(battery.draw_w.get(output, 0) * count for output, count in part.channels.items())
        for phase, minutes in part.phases_at(start):
            if phase.running:
                drawn += watts * phase.minutes
                if part.suction_kpa is not None:
                    pump.append(minutes)
    return Load(stay, place, drawn, tuple(pump))


def keeps_reserve(battery: Battery, opening: int, move_min: int, loads: Iterable[Load]) -> bool:
    """True where the level is at least the reserve after every minute with a stay on the unit."""
    if battery.reserve_wmin == 0:
        return True
    level, idle_from, last_place = battery.start_wmin, opening, None
    stretches = _stretches(loads)
    for stretch in stretches:
        first = stretch[0]
        start, end = first.stay.start, max(load.stay.end for load in stretch)
        moving = move_min if last_place is not None and first.place != last_place else 0
        idle = max(0, start - moving - idle_from)
        charged = idle if battery.charge_w and idle >= battery.min_charge_min else 0
        if charged:
            level = min(battery.full_wmin, level + battery.charge_w * charged)
        level = max(0, level - battery.standby_w * (start - idle_from - charged))
        pump = union_minutes(minutes for load in stretch for minutes in load.pump)
        level -= battery.standby_w * (end - start) + battery.pump_w * pump + sum(load.drawn_wmin for load in stretch)
        if level < battery.reserve_wmin:
            return False
        idle_from, last_place = end, max(stretch, key=lambda load: load.stay.end).place
    return True


def _stretches(loads: Iterable[Load]) -> list[list[Load]]:
    """The stays grouped into stretches that leave no minute between them."""
    stretches: list[list[Load]] = []
    end = -1
    for load in sorted(loads):
        if load.stay.start > end or not stretches:
            stretches.append([])
        stretches[-1].append(load)
        end = max(end, load.stay.end)
    return stretches
