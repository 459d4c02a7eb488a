"""Slots of the day's grid, and what stays make of them: where a unit is, when it charges, the level after each."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from solver.clinic import Battery
from solver.clock import Interval
from solver.problem import Day


class Drain(NamedTuple):
    """A stay on the unit, the watt-minutes that it draws, standby left aside, and where it is."""

    stay: Interval
    drawn_wmin: int
    place: str = ""


@dataclass(frozen=True, slots=True)
class Course:
    """For each slot: whether it charges, the minutes just before it that charge too, the level at its end."""

    charging: Sequence[bool]
    before: Sequence[int]
    levels: Sequence[int]

    def begins(self, number: int) -> bool:
        """True where a run of charging slots begins with this one."""
        return self.charging[number] and not (number and self.charging[number - 1])


class DaySlots:
    """The slots from open to close, as wide as the day's step, numbered from 0; the outermost may reach beyond."""

    def __init__(self, day: Day) -> None:
        self.minutes = day.step_min
        self.count = -(-day.close // day.step_min) - day.open // day.step_min
        self._first = day.open // day.step_min * day.step_min

    def start(self, number: int) -> int:
        return self._first + number * self.minutes

    def places(self, stays: Sequence[tuple[Interval, str]], at_first: str) -> list[str]:
        """Where a unit is in each slot whose stays, by start, are at these places; ``at_first``: without any stay.

        It begins where its first stay is.
        """
        found, number = [stays[0][1] if stays else at_first] * self.count, 0
        for stay, place in stays:
            number = max(number, (stay.start - self._first) // self.minutes)
            found[number:] = [place] * (self.count - number)
        return found


class Slots(DaySlots):
    """The same for a unit with a battery."""

    def __init__(self, day: Day, battery: Battery) -> None:
        super().__init__(day)
        self.battery = battery
        self._open, self._close = day.open, day.close
        self._move_min = day.move_min

    @property
    def on_the_way(self) -> int:
        """So many whole slots a move takes at least; they end where a stay begins."""
        return self._move_min // self.minutes

    def of_end(self, minute: int) -> tuple[int, int]:
        """The slot in which something ends that ends at this minute, and how many minutes before the slot does."""
        number = -(-(minute - self._first) // self.minutes) - 1
        return number, self.start(number + 1) - minute

    @property
    def shortest(self) -> int:
        """So many whole slots lie at least in a shortest charge, which ends on the grid."""
        return max(0, -(-(self.battery.min_charge_min - self.minutes + 1) // self.minutes))

    @property
    def first_level(self) -> int:
        """The level ahead of the first slot, which stands by in minutes before open as well."""
        return self.battery.start_wmin + self.battery.standby_w * (self._open - self._first)

    def gained(self, charging: bool) -> int:
        """Watt-minutes more at the end of a slot with no stay's end in it."""
        return self.minutes * (self.battery.charge_w if charging else -self.battery.standby_w)

    @property
    def gained_before(self) -> int:
        """Watt-minutes more for each minute before a run that charges: it was counted as one of standing by."""
        return self.battery.charge_w + self.battery.standby_w

    def asked_for(self, early: int) -> int:
        """The least level at the end of a slot in which a stay ends so many minutes before."""
        return self.battery.reserve_wmin - self.battery.standby_w * early

    @property
    def lowest(self) -> int:
        """No level is lower: what is asked for at a stay's end at least, and all the rest of the day standing by."""
        return -self.battery.standby_w * self.minutes * (self.count + 1)

    def course(self, drains: Iterable[Drain]) -> Course:
        """What these stays make of the slots; a slot of which a move takes a part charges all the same."""
        drains = sorted(drains)
        charging, before, drawn = [False] * self.count, [0] * self.count, [0] * self.count
        for idle in self._idle(drains):
            ended, early = self.of_end(idle.start)
            first = 0 if idle.start == self._open else ended + 1
            if 0 < first < self.count:
                before[first] = early
            for number in range(first, self.count):
                within = self.start(number + 1) <= idle.end or idle.end == self._close
                charging[number] = charging[number] or within
        for drain in drains:
            number, _ = self.of_end(drain.stay.end)
            if 0 <= number < self.count:
                drawn[number] += drain.drawn_wmin
        levels, level = [], self.first_level
        for number in range(self.count):
            level += self.gained(charging[number]) + self.gained_before * before[number] - drawn[number]
            level = min(level, self.battery.full_wmin)
            levels.append(level)
        return Course(charging, before, levels)

    def _idle(self, drains: Iterable[Drain]) -> Iterable[Interval]:
        """The spans between the stays, in order of time, that are long enough to charge, without slots of a move."""
        since, place = self._open, None
        for drain in drains:
            moves = place not in (None, drain.place)
            yield from self._charged(since, drain.stay.start, moves=moves)
            if drain.stay.end > since or place is None:
                since, place = max(since, drain.stay.end), drain.place
        yield from self._charged(since, self._close, moves=False)

    def _charged(self, since: int, until: int, *, moves: bool) -> Iterable[Interval]:
        """The span, if it is one and long enough to charge."""
        minutes = until - since - moves * self._move_min
        if self.battery.charge_w and minutes > 0 and minutes >= self.battery.min_charge_min:
            yield Interval(since, until - moves * self.on_the_way * self.minutes)
