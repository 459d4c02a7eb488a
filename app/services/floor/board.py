"""The board: what runs on each channel and what comes next there, whose hands are needed when, what is cleaned."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.services.floor.battery_now import BatteryNow, battery_now
from app.services.floor.cleaning import Cleaning, cleaning
from app.services.floor.expected import ExpectedPhase, expected_phases
from app.services.floor.may import running_parts
from app.services.floor.reading import Reading
from app.services.floor.watch_now import WatchNow, watch_now

Moment = datetime.datetime
PartOf = tuple[str, int]
"""A visit and the number of a part of it."""
ChannelOf = tuple[str, str]
"""A unit and a channel of it."""
AT_HAND = datetime.timedelta(minutes=45)
"""Visits that are expected within this stand on their unit's card with what can be done with them."""
QUEUE = 6


@dataclass(frozen=True, slots=True)
class Turn:
    """One phase that needs a member's hands. ``clashes``: it meets another of theirs. ``gap_s``: seconds from the end
    of the turn before to its begin; None for the first."""

    phase: ExpectedPhase
    clashes: bool
    gap_s: float | None


@dataclass(frozen=True, kw_only=True)
class Board:
    """``running`` and ``coming`` by unit and channel; ``at_hand`` by unit: visits, those that run first.

    ``lapsed``: visits whose time went by without a word of what became of them.
    """

    now: Moment
    phases: tuple[ExpectedPhase, ...]
    running: Mapping[ChannelOf, PartOf]
    coming: Mapping[ChannelOf, ExpectedPhase]
    at_hand: Mapping[str, tuple[str, ...]]
    queues: Mapping[str, tuple[Turn, ...]]
    batteries: Mapping[str, BatteryNow | None]
    cleaning: tuple[Cleaning, ...]
    lapsed: tuple[str, ...]
    watch: WatchNow


def board_of(reading: Reading, now: Moment) -> Board:
    """The day as it stands at the moment."""
    phases = expected_phases(reading, now)
    return Board(
        now=now,
        phases=tuple(phases),
        running=_running(reading),
        coming=_coming(reading, phases),
        at_hand={unit.id: _at_hand(reading, phases, unit.id, now) for unit in reading.day.units},
        queues={member.id: _queue(phases, member.id) for member in reading.day.staff},
        batteries={unit.id: battery_now(reading, phases, unit, now) for unit in reading.day.units},
        cleaning=tuple(cleaning(reading, now)),
        lapsed=tuple(code for code in reading.placed if reading.is_lapsed(code, now)),
        watch=watch_now(reading, phases, now),
    )


def _running(reading: Reading) -> dict[ChannelOf, PartOf]:
    held: dict[ChannelOf, PartOf] = {}
    for code, number, _ in running_parts(reading):
        _, placed = reading.part(code, number)
        for channel in (channel for names in placed.channels.values() for channel in names):
            held[placed.unit, channel] = (code, number)
    return held


def _coming(reading: Reading, phases: Sequence[ExpectedPhase]) -> dict[ChannelOf, ExpectedPhase]:
    """The first part that is still to start on each channel, by its first phase."""
    first: dict[ChannelOf, ExpectedPhase] = {}
    for one in phases:
        if one.runs or one.phase > 0:
            continue
        _, placed = reading.part(one.visit, one.part)
        for channel in (channel for names in placed.channels.values() for channel in names):
            first.setdefault((placed.unit, channel), one)
    return first


def _at_hand(reading: Reading, phases: Sequence[ExpectedPhase], unit: str, now: Moment) -> tuple[str, ...]:
    """Visits whose next or running part is on the unit: what runs, then who is there, then who is expected soon."""
    ranked: dict[str, tuple[int, Moment]] = {}
    for one in phases:
        if one.visit in ranked or reading.part(one.visit, one.part)[1].unit != unit:
            continue
        if next(other for other in phases if other.visit == one.visit) is not one:
            continue  # it has something else ahead of it, on another unit
        if one.runs:
            ranked[one.visit] = (0, one.begin)
        elif reading.state.visit(one.visit).parts or reading.is_there(one.visit):
            ranked[one.visit] = (1, one.begin)
        elif reading.instant(reading.part(one.visit, one.part)[1].start) <= now + AT_HAND:
            ranked[one.visit] = (2, one.begin)
    return tuple(sorted(ranked, key=lambda code: (*ranked[code], code)))


def _queue(phases: Sequence[ExpectedPhase], member: str) -> tuple[Turn, ...]:
    turns: list[Turn] = []
    last: Moment | None = None
    for one in (one for one in phases if one.hands == member):
        gap = None if last is None else (one.begin - last).total_seconds()
        turns.append(Turn(one, gap is not None and gap < 0, gap))
        last = one.end if last is None else max(last, one.end)
    return tuple(turns[:QUEUE])
