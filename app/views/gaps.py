"""Free stretches that could still be booked: a channel free, the unit in service with room for a patient, a bay ready.

A gap says what is worth asking for, no more: PROMISE names what is not looked at.
"""

from dataclasses import dataclass

from app.views.free_time import FreeTime, Kind, kinds
from app.views.parts import Planned
from app.views.scale import Scale
from app.views.words import length
from solver.clinic import Channel, Unit
from solver.clock import Interval, clock
from solver.masks.bits import minutes_of, span

PROMISE = (
    "Free of channel, patients and bay. Not looked at: staff, items, suction, moves, battery, and what a patient’s own "
    "visit asks for."
)


@dataclass(frozen=True, slots=True)
class Gap:
    """A free stretch of one channel. ``fits``: treatments of this day that it could hold, each with its starts;
    ``holds``: the same in short."""

    key: str
    at: int
    minutes: int
    length: str
    times: str
    unit: str
    channel: str
    fits: tuple[str, ...]
    holds: str
    label: str


def gap_stem(unit: Unit, channel: Channel) -> str:
    """What the keys of a channel's gaps begin with; the minute of the end follows, which stays as time goes on."""
    return f"gap.{unit.id}.{channel.id}."


def gaps(planned: Planned, unit: Unit, since: int) -> dict[str, tuple[Gap, ...]]:
    """For each channel of the unit, the free stretches that hold at least one treatment of the day, by start.

    What lies before the minute ``since`` cannot be booked and is no gap.
    """
    free, every = FreeTime(planned, unit, since), kinds(planned)
    return {channel.id: _channel_gaps(free, channel, every) for channel in unit.channels}


def _channel_gaps(free: FreeTime, channel: Channel, every: list[Kind]) -> tuple[Gap, ...]:
    starts = {kind: free.starts(kind, channel) for kind in every}
    found = []
    for stretch in free.stretches(channel):
        within = {
            kind: list(minutes_of(mask & span(stretch.start, stretch.end - kind.minutes + 1)))
            for kind, mask in starts.items()
        }
        fitting = {kind: minutes for kind, minutes in within.items() if minutes}
        if fitting:
            found.append(_gap(free, channel, stretch, fitting))
    return tuple(found)


def _gap(free: FreeTime, channel: Channel, stretch: Interval, fitting: dict[Kind, list[int]]) -> Gap:
    drawn = Scale.of(free.planned.day).span(stretch)
    lasts, holds = length(drawn.minutes), _in_short(list(fitting))
    return Gap(
        key=f"{gap_stem(free.unit, channel)}{stretch.end}",
        at=drawn.at,
        minutes=drawn.minutes,
        length=lasts,
        times=drawn.text,
        unit=free.unit.name,
        channel=channel.id,
        fits=tuple(f"{kind.outputs}, {kind.minutes} min: {_when(starts)}" for kind, starts in fitting.items()),
        holds=holds,
        label=f"Free for {lasts}, {clock(stretch.start)} to {clock(stretch.end)}, "
        f"{free.unit.name} channel {channel.id}, could hold {holds}",
    )


def _in_short(fitting: list[Kind]) -> str:
    """``"pads 10, 15 min; ultrasound 10 min"``."""
    minutes: dict[str, list[str]] = {}
    for kind in fitting:
        minutes.setdefault(kind.outputs, []).append(str(kind.minutes))
    return "; ".join(f"{outputs} {', '.join(lengths)} min" for outputs, lengths in minutes.items())


def _when(starts: list[int]) -> str:
    if len(starts) == 1:
        return f"start {clock(starts[0])}"
    return f"{len(starts)} starts, {clock(starts[0])} to {clock(starts[-1])}"
