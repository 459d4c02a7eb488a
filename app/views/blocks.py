"""A part as it lies on a channel's rail: a block with its phases."""

from dataclasses import dataclass

from app.views.parts import Planned, PlannedPart
from app.views.scale import Scale
from app.views.words import short_name, short_outputs, width_class
from solver.clock import clock
from solver.visits import Phase

PHASE_WORDS = {
    "hands-on": "hands-on, running",
    "unattended": "runs unattended, watched",
    "still": "set-up or take-down",
    "rest": "nobody, not running",
}


@dataclass(frozen=True, slots=True)
class PhaseStrip:
    """A phase's share of its block. ``kind`` is a key of PHASE_WORDS."""

    minutes: int
    kind: str


@dataclass(frozen=True, slots=True)
class Block:
    """One part on one channel.

    ``at``: minutes after opening. ``hue``: number of its output's colour. ``state``: done, running or coming.
    ``main``: the one block of its part that the keyboard stops at. ``quiet``: the filter asks for others.
    ``tied``: the part holds more than one channel.
    """

    key: str
    visit: str
    at: int
    minutes: int
    name: str
    short: str
    width: str
    output: str
    output_short: str
    hue: int
    phases: tuple[PhaseStrip, ...]
    state: str
    main: bool
    quiet: bool
    tied: bool
    label: str


def phase_kind(phase: Phase) -> str:
    if phase.running:
        return "unattended" if phase.hands == "nobody" else "hands-on"
    return "rest" if phase.hands == "nobody" else "still"


def state_of(part: PlannedPart, now: int | None) -> str:
    """done, running or coming at the minute ``now``; coming where there is no now."""
    if now is None or now < part.interval.start:
        return "coming"
    return "done" if part.interval.end <= now else "running"


def block(planned: Planned, part: PlannedPart, channel: str, now: int | None, quiet: bool) -> Block:
    outputs = part.outputs_by_channel
    output = outputs[channel]
    unit = planned.day.unit_by_id[part.placed.unit]
    first = next(ch.id for ch in unit.channels if ch.id in outputs)
    others = [id for id in outputs if id != channel]
    return Block(
        key=part.key,
        visit=part.visit.id,
        at=Scale.of(planned.day).at(part.interval.start),
        minutes=part.part.minutes,
        name=part.visit.patient,
        short=short_name(part.visit.patient),
        width=width_class(part.visit.patient),
        output=output,
        output_short=short_outputs(planned.outputs)[output],
        hue=planned.outputs.index(output) % 6,
        phases=tuple(PhaseStrip(phase.minutes, phase_kind(phase)) for phase in part.part.phases),
        state=state_of(part, now),
        main=channel == first,
        quiet=quiet,
        tied=bool(others),
        label=(
            f"{part.visit.patient}, {output}, {clock(part.interval.start)} to {clock(part.interval.end)}, "
            f"{unit.name} channel {channel}" + (f" with {', '.join(others)}" if others else "")
        ),
    )
