"""A unit's battery, minute by minute from open to close, as the contract's battery rule counts it.

A unit with a battery is plugged in whenever it stands idle long enough, so charging follows from its stays.
Levels are in watt-minutes, times in minutes from midnight.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from solver.clinic import Battery, Unit
from solver.clock import Interval
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import Stay, stays_of


@dataclass(frozen=True, slots=True)
class BatteryTrace:
    """``levels[i]`` is the level in watt-minutes after minute ``open + i``; ``charging`` the spans of charging.

    ``drawn[i]`` is what is drawn in that minute, in watts, where it does not charge.
    """

    levels: tuple[int, ...]
    charging: tuple[Interval, ...]
    drawn: tuple[int, ...]


def battery_trace(day: Day, plan: Plan, unit: Unit) -> BatteryTrace | None:
    """The battery of one unit over the day; None where it runs on mains. The plan's shape holds."""
    if unit.battery is None:
        return None
    return trace(day, unit.battery, [stay for stay in stays_of(day, plan) if stay.unit == unit.id])


def trace(day: Day, battery: Battery, stays: Sequence[Stay]) -> BatteryTrace:
    """The battery of one unit that has exactly these stays, given in order of time."""
    charging = tuple(_charging(day, battery, stays))
    drawn = _drawn(day, battery, stays)
    charges = [False] * (day.close - day.open)
    for start, end in charging:
        charges[start - day.open : end - day.open] = [True] * (end - start)
    level, full, charge = battery.start_wmin, battery.full_wmin, battery.charge_w
    levels = []
    for plugged_in, watts in zip(charges, drawn, strict=True):
        level = min(full, level + charge) if plugged_in else max(0, level - watts)
        levels.append(level)
    return BatteryTrace(tuple(levels), charging, tuple(drawn))


def _charging(day: Day, battery: Battery, stays: Sequence[Stay]) -> Iterator[Interval]:
    """Idle spans that are long enough. The stay before one is the last to end, the stay after it the next to start."""
    if battery.charge_w == 0:
        return
    idle_from, before = day.open, None
    for stay in stays:
        interval = stay.interval
        moves = before is not None and before.place != stay.place
        yield from _long_enough(battery, day, idle_from, interval.start - (day.move_min if moves else 0))
        if before is None or interval.end > idle_from:
            idle_from, before = max(idle_from, interval.end), stay
    yield from _long_enough(battery, day, idle_from, day.close)


def _long_enough(battery: Battery, day: Day, start: int, end: int) -> Iterator[Interval]:
    start, end = max(start, day.open), min(end, day.close)
    if end > start and end - start >= battery.min_charge_min:
        yield Interval(start, end)


def _drawn(day: Day, battery: Battery, stays: Sequence[Stay]) -> list[int]:
    """Watts that a unit draws in each minute in which it does not charge."""
    minutes = day.close - day.open
    drawn = [battery.standby_w] * minutes
    pumping = [False] * minutes
    for stay in stays:
        for part, placed in stay.parts:
            watts = sum(battery.draw_w.get(output, 0) * count for output, count in part.channels.items())
            for phase, (start, end) in part.phases_at(placed.start):
                if not phase.running:
                    continue
                for minute in range(max(start - day.open, 0), min(end - day.open, minutes)):
                    drawn[minute] += watts
                    if part.suction_kpa is not None and not pumping[minute]:
                        pumping[minute] = True
                        drawn[minute] += battery.pump_w
    return drawn
