"""At which starts one more stay leaves a unit's battery above its reserve all day: reckoned around the stay alone.

The stays on a unit are taken as stretches without a free minute between them, as in ``masks/energy.py``. For each
stretch it is known what level the plan leaves after it, and what level would be needed there for the rest of the day;
so a further stay has to be followed only from the stretch before it to the one after.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from solver.clinic import Battery, Unit
from solver.clock import Interval
from solver.masks.bits import minutes_of, span, union
from solver.masks.energy import Load, load_of
from solver.masks.ledger import Ledger
from solver.sites import Site
from solver.visits import Part


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Stays without a free minute between; ``pump``: the minutes in which any of them wants it."""

    start: int
    end: int
    first_place: str
    last_place: str
    drawn_wmin: int
    pump: int


class Charge:
    """The batteries of one ledger. Of use until the ledger changes."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self._units: dict[str, _UnitCharge] = {}
        self._known: dict[tuple[str, Load, bool], tuple[int, int]] = {}

    def matters(self, unit: Unit) -> bool:
        return unit.battery is not None and unit.battery.reserve_wmin > 0

    def lasting(self, site: Site, parts: Sequence[tuple[Part, int]], starts: int, *, until_end: bool = False) -> int:
        """Those of the starts at which one more stay at the site leaves the battery enough.

        ``parts``: the stay's parts with their minutes from its start. ``until_end``: looked at no further than the end
        of the stretch that the stay is in.
        """
        battery = site.unit.battery
        if battery is None or not starts or not self.matters(site.unit):
            return starts
        last, offset = parts[-1]
        load = load_of(battery, Interval(0, offset + last.minutes), site.place.id, parts)
        key = (site.unit.id, load, until_end)
        asked, good = self._known.get(key, (0, 0))
        new = starts & ~asked
        if new:
            unit = self._units.get(site.unit.id)
            if unit is None:
                unit = self._units[site.unit.id] = _UnitCharge(self.ledger, site.unit, battery)
            pump = union(span(*minutes) for minutes in load.pump)
            good |= union(1 << start for start in minutes_of(new) if unit.keeps(start, load, pump, until_end))
            self._known[key] = (asked | new, good)
        return starts & good


class _UnitCharge:
    def __init__(self, ledger: Ledger, unit: Unit, battery: Battery) -> None:
        self.battery = battery
        self.open, self.move = ledger.day.open, ledger.day.move_min
        self.stretches: list[_Stretch] = []
        for load in sorted(load for loads in ledger.loads[unit.id].values() for load in loads):
            pump = union(span(*minutes) for minutes in load.pump)
            alone = _Stretch(*load.stay, load.place, load.place, load.drawn_wmin, pump)
            if self.stretches and alone.start <= self.stretches[-1].end:
                self.stretches[-1] = _joined(self.stretches[-1], alone)
            else:
                self.stretches.append(alone)
        self._ends = [stretch.end for stretch in self.stretches]
        self._starts = [stretch.start for stretch in self.stretches]

    @cached_property
    def levels(self) -> list[int]:
        """The level before the first stretch, at opening, and after each."""
        levels = [self.battery.start_wmin]
        for before, stretch in zip([None, *self.stretches], self.stretches, strict=False):
            levels.append(self._after(levels[-1], before, stretch))
        return levels

    @cached_property
    def needed(self) -> list[int]:
        """The least level after each stretch with which the rest of the day keeps the reserve."""
        needed = [self.battery.reserve_wmin]
        for before, stretch in zip(reversed(self.stretches[:-1]), reversed(self.stretches[1:]), strict=True):
            charged, idle = self._idle(before, stretch)
            entering = needed[0] + self._drawn(stretch) + idle * self.battery.standby_w
            enough = entering - charged * self.battery.charge_w
            never = entering > self.battery.full_wmin
            needed.insert(0, self.battery.full_wmin + 1 if never else max(enough, self.battery.reserve_wmin))
        return needed

    def keeps(self, start: int, load: Load, pump: int, until_end: bool) -> bool:
        """True where the battery lasts with the load, given as at minute 0, at this start."""
        end = start + load.stay.end
        # Stretches that the stay meets or touches become one with it.
        first = bisect_left(self._ends, start)
        last = first
        while last < len(self._starts) and self._starts[last] <= end:
            last += 1
        new = _Stretch(start, end, load.place, load.place, load.drawn_wmin, pump << start)
        for met in self.stretches[first:last]:
            new = _joined(met, new) if met.start <= new.start else _joined(new, met)
        before = self.stretches[first - 1] if first else None
        level = self._after(self.levels[first], before, new)
        if level < self.battery.reserve_wmin:
            return False
        if until_end or last == len(self.stretches):
            return True
        return self._after(level, new, self.stretches[last]) >= self.needed[last]

    def _after(self, level: int, before: _Stretch | None, stretch: _Stretch) -> int:
        """The level after the stretch, from the level after the one before it."""
        charged, idle = self._idle(before, stretch)
        level = min(self.battery.full_wmin, level + self.battery.charge_w * charged) if charged else level
        return max(0, level - self.battery.standby_w * idle) - self._drawn(stretch)

    def _idle(self, before: _Stretch | None, stretch: _Stretch) -> tuple[int, int]:
        """The idle minutes before the stretch: in which it charges, and in which it does not."""
        since = self.open if before is None else before.end
        moving = self.move if before is not None and before.last_place != stretch.first_place else 0
        idle = max(0, stretch.start - moving - since)
        charged = idle if self.battery.charge_w and idle >= self.battery.min_charge_min else 0
        return charged, stretch.start - since - charged

    def _drawn(self, stretch: _Stretch) -> int:
        standby, pump = self.battery.standby_w * (stretch.end - stretch.start), stretch.pump.bit_count()
        return standby + self.battery.pump_w * pump + stretch.drawn_wmin


def _joined(early: _Stretch, late: _Stretch) -> _Stretch:
    """Two stretches as one, the one that begins earlier given first."""
    return _Stretch(
        early.start,
        max(early.end, late.end),
        early.first_place,
        late.last_place if late.end > early.end else early.last_place,
        early.drawn_wmin + late.drawn_wmin,
        early.pump | late.pump,
    )
