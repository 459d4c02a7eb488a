"""At which starts one more stay leaves a unit's battery above its reserve all day: reckoned around the stay alone.

The stays on a unit are taken as stretches without a free minute between them, as in ``energy.py``. For each stretch it
is known what level the plan leaves after it, and what level would be needed there for the rest of the day; so a further
stay has to be followed only from the stretch before it to the one after.
"""

from bisect import bisect_left
from collections.abc import Iterable
from functools import cached_property
from typing import NamedTuple

from solver.clinic import Battery
from solver.masks.bits import minutes_of, span, union
from solver.masks.energy import Load
from solver.visits import Part


class Draw(NamedTuple):
    """What a stay asks of any battery, told as from minute 0: ``running`` counts the minutes of each output."""

    length: int
    running: tuple[tuple[str, int], ...]
    pump: int


def draw_of(parts: Iterable[tuple[Part, int]]) -> Draw:
    """Of a stay whose parts begin so many minutes after it does."""
    length, pump = 0, 0
    running: dict[str, int] = {}
    for part, begin in parts:
        length, minutes = begin + part.minutes, 0
        for phase in part.phases:
            if phase.running:
                minutes += phase.minutes
                if part.suction_kpa is not None:
                    pump |= span(begin, begin + phase.minutes)
            begin += phase.minutes
        for output, count in part.channels.items():
            running[output] = running.get(output, 0) + count * minutes
    return Draw(length, tuple(running.items()), pump)


class _Stretch(NamedTuple):
    """Stays without a free minute between; ``pump``: the minutes in which any of them wants it."""

    start: int
    end: int
    first_place: str
    last_place: str
    drawn_wmin: int
    pump: int


class Charge:
    """The battery of one unit with the stays that a plan has on it."""

    def __init__(self, battery: Battery, opening: int, move_min: int, loads: Iterable[Load]) -> None:
        self._full, self._reserve = battery.full_wmin, battery.reserve_wmin
        self._standby_w, self._pump_w, self._charge_w = battery.standby_w, battery.pump_w, battery.charge_w
        self._min_charge, self._draw_w = battery.min_charge_min, battery.draw_w
        self._open, self._move, self._first_level = opening, move_min, battery.start_wmin
        self._stretches: list[_Stretch] = []
        for load in sorted(loads):
            pump = union(span(*minutes) for minutes in load.pump)
            alone = _Stretch(*load.stay, load.place, load.place, load.drawn_wmin, pump)
            if self._stretches and alone.start <= self._stretches[-1].end:
                self._stretches[-1] = _joined(self._stretches[-1], alone)
            else:
                self._stretches.append(alone)
        self._ends = [stretch.end for stretch in self._stretches]
        self._starts = [stretch.start for stretch in self._stretches]
        self._known: dict[tuple[str, Draw], tuple[int, int]] = {}

    def lasting(self, place: str, draw: Draw, starts: int) -> int:
        """Those of the starts at which one more stay at the place leaves the battery enough."""
        key = (place, draw)
        asked, good = self._known.get(key, (0, 0))
        new = starts & ~asked
        if new:
            watts = sum(self._draw_w.get(output, 0) * minutes for output, minutes in draw.running)
            for start in minutes_of(new):
                if self._keeps(start, start + draw.length, place, watts, draw.pump << start):
                    good |= 1 << start
            self._known[key] = (asked | new, good)
        return starts & good

    @property
    def lasts(self) -> bool:
        """True where it keeps its reserve with what is on the unit already."""
        return self._sound == len(self._stretches)

    @cached_property
    def _levels(self) -> list[int]:
        """The level before the first stretch, at opening, and after each."""
        levels, since, place = [self._first_level], self._open, None
        for stretch in self._stretches:
            moving = self._moving(place, stretch.first_place)
            levels.append(self._begun(levels[-1], since, moving, stretch.start) - self._drawn(stretch))
            since, place = stretch.end, stretch.last_place
        return levels

    @cached_property
    def _sound(self) -> int:
        """How many stretches come before the first after which the level is below the reserve."""
        short = (n for n, level in enumerate(self._levels[1:]) if level < self._reserve)
        return next(short, len(self._stretches))

    @cached_property
    def _needed(self) -> list[int]:
        """The least level after each stretch with which the rest of the day keeps the reserve."""
        needed = [self._reserve]
        for before, stretch in zip(reversed(self._stretches[:-1]), reversed(self._stretches[1:]), strict=True):
            charged = self._charged(before.end, self._moving(before.last_place, stretch.first_place), stretch.start)
            idle = stretch.start - before.end - charged
            entering = needed[-1] + self._drawn(stretch) + idle * self._standby_w
            enough = entering - charged * self._charge_w
            never = entering > self._full
            needed.append(self._full + 1 if never else max(enough, self._reserve))
        needed.reverse()
        return needed

    def _keeps(self, start: int, end: int, place: str, drawn: int, pump: int) -> bool:
        """True where the battery lasts with one more stay."""
        stretches, last_place = self._stretches, place
        first = last = bisect_left(self._ends, start)
        if first > self._sound:
            return False
        # Stretches that the stay meets or touches become one with it.
        while last < len(stretches) and self._starts[last] <= end:
            met = stretches[last]
            if met.start <= start:
                start, place = met.start, met.first_place
            if met.end >= end:
                end, last_place = met.end, met.last_place
            drawn += met.drawn_wmin
            pump |= met.pump
            last += 1
        drawn += self._standby_w * (end - start) + (self._pump_w * pump.bit_count() if pump else 0)
        since, before = (stretches[first - 1].end, stretches[first - 1].last_place) if first else (self._open, None)
        level = self._begun(self._levels[first], since, self._moving(before, place), start) - drawn
        if level < self._reserve:
            return False
        if last == len(stretches):
            return True
        later = stretches[last]
        level = self._begun(level, end, self._moving(last_place, later.first_place), later.start)
        return level - self._drawn(later) >= self._needed[last]

    def _moving(self, before: str | None, place: str) -> int:
        return 0 if before is None or before == place else self._move

    def _charged(self, since: int, moving: int, start: int) -> int:
        """How many of the idle minutes, but for those in which it is moved, the battery charges."""
        idle = start - since - moving
        return idle if self._charge_w and idle > 0 and idle >= self._min_charge else 0

    def _begun(self, level: int, since: int, moving: int, start: int) -> int:
        """The level as a stretch begins, from the level since when the unit was idle."""
        charged = self._charged(since, moving, start)
        if charged:
            level = min(self._full, level + self._charge_w * charged)
        level -= self._standby_w * (start - since - charged)
        return level if level > 0 else 0

    def _drawn(self, stretch: _Stretch) -> int:
        drawn = stretch.drawn_wmin + self._standby_w * (stretch.end - stretch.start)
        return drawn + self._pump_w * stretch.pump.bit_count() if stretch.pump else drawn


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
