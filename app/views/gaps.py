"""Free stretches that could still be booked: a channel free, the unit in service with room for a patient, a bay ready.

Staff, items, suction, moves and the battery are not looked at: a gap says what is worth asking for, no more.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from app.views.parts import Planned
from app.views.scale import Scale, runs
from app.views.words import length, listed
from solver.clinic import Channel, Unit
from solver.clock import Interval, clock

PROMISE = "Free of channel, patients and bay; still subject to staff, items, moves and battery."


@dataclass(frozen=True, slots=True)
class Gap:
    """A free stretch of one channel. ``fits``: treatments of this day that it could hold, each with its starts."""

    key: str
    at: int
    minutes: int
    length: str
    times: str
    unit: str
    channel: str
    fits: tuple[str, ...]
    label: str


@dataclass(frozen=True, slots=True)
class Kind:
    """A treatment of the day: the outputs it needs at once and its minutes."""

    needs: tuple[tuple[str, int], ...]
    minutes: int

    @property
    def text(self) -> str:
        outputs = listed(output if count == 1 else f"{count} × {output}" for output, count in self.needs)
        return f"{outputs}, {self.minutes} min"


@dataclass(frozen=True)
class FreeTime:
    """Minute by minute, from open to close, what one unit still has to give."""

    planned: Planned
    unit: Unit

    @cached_property
    def bays(self) -> Mapping[str, list[bool]]:
        """For each bay the unit may use: minutes in service, room for one more patient, and the bay ready.

        A bay counts only while no other stay holds the unit at another place.
        """
        day = self.planned.day
        stays = [(stay.interval, stay.place) for stay in self.planned.unit_stays(self.unit.id)]
        bays = {bay: place for place in self.unit.places for bay in day.place_by_id[place].bays}
        taken: dict[str, list[tuple[int, int]]] = {bay: [] for bay in bays}
        for stay in self.planned.stays:
            if stay.bay in taken:
                busy = stay.interval
                taken[stay.bay].append((busy.start - day.bay_turnover_min, busy.end + day.bay_turnover_min))
        flags: dict[str, list[bool]] = {bay: [] for bay in bays}
        for minute in range(day.open, day.close):
            here = [place for span, place in stays if span.start <= minute < span.end]
            at = set(here)
            room = len(here) < self.unit.patients_at_once and any(
                hours.start <= minute < hours.end for hours in day.unit_hours(self.unit)
            )
            for bay, place in bays.items():
                ready = not any(start <= minute < end for start, end in taken[bay])
                flags[bay].append(room and ready and (not at or place in at))
        return flags

    @cached_property
    def channels(self) -> Mapping[str, list[bool]]:
        """For each channel, the minutes it is free and the unit has room."""
        day = self.planned.day
        room = [any(minute) for minute in zip(*self.bays.values(), strict=True)]
        free = {channel.id: list(room) for channel in self.unit.channels}
        for part in self.planned.on_unit(self.unit.id):
            for channel in part.outputs_by_channel:
                for minute in range(part.interval.start, part.interval.end):
                    free[channel][minute - day.open] = False
        return free

    def stretches(self, channel: Channel) -> Iterator[Interval]:
        """The channel's free stretches; one ends where no bay is ready both before and after."""
        for run in runs(self.channels[channel.id], self.planned.day.open):
            start = run.start
            for minute in range(run.start + 1, run.end):
                at = minute - self.planned.day.open
                if not any(flags[at - 1] and flags[at] for flags in self.bays.values()):
                    yield Interval(start, minute)
                    start = minute
            yield Interval(start, run.end)

    def starts(self, kind: Kind, channel: Channel, first: int, last: int) -> list[int]:
        """Grid starts within ``first … last`` (minutes from midnight) at which the kind fits, ``channel`` in use."""
        day = self.planned.day
        step = day.step_min
        grid = range(-(-first // step) * step, last - kind.minutes + 1, step)
        return [start for start in grid if self._fits(kind, channel, start)]

    def _fits(self, kind: Kind, channel: Channel, start: int) -> bool:
        offset = start - self.planned.day.open
        if not any(all(flags[offset : offset + kind.minutes]) for flags in self.bays.values()):
            return False
        free = [other for other in self.unit.channels if all(self.channels[other.id][offset : offset + kind.minutes])]
        if channel not in free:
            return False
        return any(output in channel.drives and _serves(free, kind.needs, channel, output) for output, _ in kind.needs)


def _serves(free: list[Channel], needs: tuple[tuple[str, int], ...], own: Channel, own_output: str) -> bool:
    """True where the free channels can drive all that is needed, ``own`` driving ``own_output``."""
    wanted = [output for output, count in needs for _ in range(count - (output == own_output))]
    owner: dict[str, int] = {}
    others = [channel for channel in free if channel.id != own.id]

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


def kinds(planned: Planned) -> list[Kind]:
    """The different single-part treatments of the day's visits, shortest first."""
    found = {
        Kind(tuple(sorted(part.channels.items())), part.minutes) for visit in planned.day.visits for part in visit.parts
    }
    return sorted(found, key=lambda kind: (kind.minutes, kind.needs))


def gaps(planned: Planned, unit: Unit) -> dict[str, tuple[Gap, ...]]:
    """For each channel of the unit, the free stretches that hold at least one treatment of the day, by start."""
    free = FreeTime(planned, unit)
    scale = Scale.of(planned.day)
    every = kinds(planned)
    found = {}
    for channel in unit.channels:
        listed_gaps = []
        for run in free.stretches(channel):
            fits = []
            for kind in every:
                starts = free.starts(kind, channel, run.start, run.end)
                if starts:
                    fits.append(f"{kind.text}: {_when(starts)}")
            if fits:
                span = scale.span(run)
                listed_gaps.append(
                    Gap(
                        key=f"gap.{unit.id}.{channel.id}.{run.start}",
                        at=span.at,
                        minutes=span.minutes,
                        length=length(span.minutes),
                        times=span.text,
                        unit=unit.name,
                        channel=channel.id,
                        fits=tuple(fits),
                        label=f"Free for {length(span.minutes)}, {clock(run.start)} to {clock(run.end)}, "
                        f"{unit.name} channel {channel.id}",
                    )
                )
        found[channel.id] = tuple(listed_gaps)
    return found


def _when(starts: list[int]) -> str:
    if len(starts) == 1:
        return f"start {clock(starts[0])}"
    return f"{len(starts)} starts, {clock(starts[0])} to {clock(starts[-1])}"
