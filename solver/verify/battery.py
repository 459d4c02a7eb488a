"""After every minute with a stay on a unit, its battery is at or above the reserve."""

from collections import defaultdict
from collections.abc import Iterator

from solver.clinic import Battery, Unit
from solver.clock import clock
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import Stay, stays_of
from solver.verify.breach import Breach
from solver.verify.energy import trace


class BatteryReserve:
    name: RuleName = "battery"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        stays: dict[str, list[Stay]] = defaultdict(list)
        for stay in stays_of(day, plan):
            stays[stay.unit].append(stay)
        for unit in day.units:
            if unit.battery is not None:
                yield from self._reserve(day, unit, unit.battery, stays[unit.id])

    def _reserve(self, day: Day, unit: Unit, battery: Battery, stays: list[Stay]) -> Iterator[Breach]:
        levels = trace(day, battery, stays).levels
        told = day.open
        for stay in stays:
            start, end = max(stay.interval.start, day.open), min(stay.interval.end, day.close)
            low = [
                minute for minute in range(max(start, told), end) if levels[minute - day.open] < battery.reserve_wmin
            ]
            told = max(told, end)
            if low:
                yield Breach(
                    self.name,
                    f"{unit.name} is at {_wh(levels[low[0] - day.open])} after the minute {clock(low[0])} of "
                    f"{stay.visit.id}, below its reserve of {_wh(battery.reserve_wmin)}",
                )


def _wh(watt_minutes: int) -> str:
    return f"{watt_minutes} watt-minutes ({watt_minutes / 60:.1f} Wh)"
