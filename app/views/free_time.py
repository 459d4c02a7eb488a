"""What a unit still has to give, as sets of minutes: its channels, room for a patient, a bay that is ready.

Staff, items, suction, moves and batteries are not looked at, nor what a patient's own visit allows.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from app.views.parts import Planned
from app.views.words import listed
from solver.clinic import Channel, Unit
from solver.clock import DAY_MIN, Interval
from solver.masks.bits import minutes_of, span, union
from solver.masks.occupancy import Headroom, Occupancy


@dataclass(frozen=True, slots=True)
class Kind:
    """A treatment of the day: the outputs it needs at once and its minutes."""

    needs: tuple[tuple[str, int], ...]
    minutes: int

    @property
    def outputs(self) -> str:
        return listed(output if count == 1 else f"{count} × {output}" for output, count in self.needs)


def kinds(planned: Planned) -> list[Kind]:
    """The different parts of the day's visits, shortest first."""
    found = {
        Kind(tuple(sorted(part.channels.items())), part.minutes) for visit in planned.day.visits for part in visit.parts
    }
    return sorted(found, key=lambda kind: (kind.minutes, kind.needs))


@dataclass(frozen=True)
class FreeTime:
    """What one unit has free from the minute ``since`` on. Sets of minutes are whole numbers: bit t is minute t."""

    planned: Planned
    unit: Unit
    since: int

    @cached_property
    def bays(self) -> tuple[Occupancy, ...]:
        """For each bay the unit may use: in service, room for one more patient, and the bay ready.

        A bay counts only while no other stay holds the unit at another place.
        """
        day, unit = self.planned.day, self.unit
        ahead = span(max(day.open, self.since), day.close)
        in_service = union(span(*hours) for hours in day.unit_hours(unit)) & ahead
        room = Headroom(min(unit.patients_at_once, len(day.visits) + 1))
        for stay in self.planned.unit_stays(unit.id):
            room.take(span(*stay.interval))
        bays = {bay: place for place in unit.places for bay in day.place_by_id[place].bays}
        free = {bay: Occupancy(in_service & room.at_least(1)) for bay in bays}
        for stay in self.planned.stays:
            start, end = stay.interval
            if stay.bay in free:
                free[stay.bay].add(stay.visit.id, span(start - day.bay_turnover_min, end + day.bay_turnover_min))
            if stay.unit == unit.id:
                for bay, place in bays.items():
                    if place != stay.place:
                        free[bay].add(stay.visit.id, span(start, end))
        return tuple(free.values())

    @cached_property
    def channels(self) -> Mapping[str, Occupancy]:
        """For each channel, the minutes it is free and the unit has room."""
        room = union(bay.free for bay in self.bays)
        free = {channel.id: Occupancy(room) for channel in self.unit.channels}
        for part in self.planned.on_unit(self.unit.id):
            for channel in part.outputs_by_channel:
                free[channel].add(part.key, span(*part.interval))
        return free

    def stretches(self, channel: Channel) -> Iterator[Interval]:
        """The channel's free stretches; one ends where no bay is ready both before and after."""
        free = self.channels[channel.id].free
        reached = free & free << 1 & union(bay.free & bay.free << 1 for bay in self.bays)
        for start in minutes_of(free & ~reached):
            # The first minute after the start that is not reached from the one before it.
            beyond = ~reached >> (start + 1)
            yield Interval(start, start + (beyond & -beyond).bit_length())

    def starts(self, kind: Kind, channel: Channel) -> int:
        """The minutes of the grid at which the kind fits with ``channel`` in use."""
        bay_free = union(bay.runs(kind.minutes) for bay in self.bays)
        runs = {other.id: self.channels[other.id].runs(kind.minutes) for other in self.unit.channels}
        left, found = self._grid & bay_free & runs[channel.id], 0
        while left:
            # All starts at which the same channels are free are judged at once.
            first = left & -left
            free = [other for other in self.unit.channels if runs[other.id] & first]
            alike = left
            for other in self.unit.channels:
                alike &= runs[other.id] if other in free else ~runs[other.id]
            left &= ~alike
            if any(output in channel.drives and _serves(free, kind.needs, channel, output) for output, _ in kind.needs):
                found |= alike
        return found

    @cached_property
    def _grid(self) -> int:
        return union(1 << minute for minute in range(0, DAY_MIN, self.planned.day.step_min))


def _serves(free: list[Channel], needs: tuple[tuple[str, int], ...], own: Channel, own_output: str) -> bool:
    """True where the free channels can drive all that is needed, ``own`` driving ``own_output``."""
    wanted = [output for output, count in needs for _ in range(count - (output == own_output))]
    owner: dict[str, int] = {}
    others = [channel for channel in free if channel.id != own.id]
    if len(wanted) > len(others):
        return False

    def place(i: int, tried: set[str]) -> bool:
        for channel in others:
            if wanted[i] in channel.drives and channel.id not in tried:
                tried.add(channel.id)
                holder = owner.get(channel.id)
                if holder is None or place(holder, tried):
                    owner[channel.id] = i
                    return True
        return False

    return all(place(i, set()) for i in range(len(wanted)))
