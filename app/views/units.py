"""A unit as a band: its channels as rails, its places, its battery, and what lies on them."""

from dataclasses import dataclass

from app.views.battery import BatteryRow, battery_row
from app.views.blocks import Block, block
from app.views.gaps import Gap, gaps
from app.views.moves import Move, moves
from app.views.parts import Planned, PlannedPart
from app.views.scale import Scale, Span, outside
from app.views.words import counted, listed
from solver.clinic import Channel, Unit
from solver.clock import Interval, clock


@dataclass(frozen=True, slots=True)
class Tail:
    """Cleaning after a part, under its block: items that nobody may have until they are clean."""

    at: int
    minutes: int
    visit: str
    text: str


@dataclass(frozen=True, slots=True)
class Rail:
    """One channel of a unit. ``blocks``, ``gaps`` and ``tails`` by start."""

    channel: str
    drives: str
    blocks: tuple[Block, ...]
    gaps: tuple[Gap, ...]
    tails: tuple[Tail, ...]


@dataclass(frozen=True, slots=True)
class Tie:
    """A frame around the channels that one part holds together: rails ``first`` to ``last``, counted from 0."""

    at: int
    minutes: int
    first: int
    last: int
    visit: str
    hue: int


@dataclass(frozen=True, slots=True)
class Wait:
    """The wait between two parts of a visit: an SVG path in minutes to the right and rails of 100 down."""

    path: str
    visit: str


@dataclass(frozen=True, slots=True)
class Standing:
    """A stretch in which the unit stands at a place, or is on its way to one."""

    span: Span
    text: str
    moving: bool


@dataclass(frozen=True, slots=True)
class UnitBand:
    """``standings`` is empty where the unit has one place only; ``places_label`` reads it. ``out``: out of service."""

    id: str
    name: str
    places: str
    visits: str
    patients_at_once: int
    rails: tuple[Rail, ...]
    ties: tuple[Tie, ...]
    waits: tuple[Wait, ...]
    standings: tuple[Standing, ...]
    places_label: str
    out: tuple[Span, ...]
    battery: BatteryRow | None


def unit_band(planned: Planned, unit: Unit, now: int | None, quiet: frozenset[str], with_gaps: bool) -> UnitBand:
    """The band of a unit at the minute ``now``; parts whose keys are in ``quiet`` are drawn quietly."""
    day, scale = planned.day, Scale.of(planned.day)
    parts = planned.on_unit(unit.id)
    free = gaps(planned, unit, day.open if now is None else now) if with_gaps else {}
    visits = {part.visit.id for part in parts}
    standings = _standings(planned, unit) if len(unit.places) > 1 else ()
    return UnitBand(
        id=unit.id,
        name=unit.name,
        places=" or ".join(day.place_by_id[place].name for place in unit.places),
        visits=counted(len(visits), "visit"),
        patients_at_once=unit.patients_at_once,
        rails=tuple(_rail(planned, channel, parts, now, quiet, free.get(channel.id, ())) for channel in unit.channels),
        ties=tuple(_ties(planned, unit, parts)),
        waits=tuple(_waits(planned, unit, parts)),
        standings=standings,
        places_label=f"Where {unit.name} stands: " + ", ".join(f"{one.span.text} {one.text}" for one in standings),
        out=tuple(scale.span(span) for span in outside(day, day.unit_hours(unit))),
        battery=battery_row(planned, unit, now),
    )


def _rail(
    planned: Planned,
    channel: Channel,
    parts: list[PlannedPart],
    now: int | None,
    quiet: frozenset[str],
    free: tuple[Gap, ...],
) -> Rail:
    own = [part for part in parts if channel.id in part.outputs_by_channel]
    return Rail(
        channel=channel.id,
        drives=" / ".join(channel.drives),
        blocks=tuple(block(planned, part, channel.id, now, part.key in quiet) for part in own),
        gaps=free,
        tails=tuple(tail for part in own for tail in _tails(planned, part, channel)),
    )


def _tails(planned: Planned, part: PlannedPart, channel: Channel) -> list[Tail]:
    """The items let go at the part's end, drawn on the first of its channels: they are the part's, not a channel's."""
    if channel.id != next(iter(part.outputs_by_channel)):
        return []
    own_items = {item for items in part.placed.items.values() for item in items}
    cleaning: dict[Interval, list[str]] = {}
    for hold in planned.item_holds_of(part.stay):
        ends_here = hold.held.end == part.interval.end and hold.after.minutes
        if hold.id in own_items and ends_here:
            cleaning.setdefault(hold.after, []).append(hold.id)
    scale = Scale.of(planned.day)
    return [
        Tail(scale.span(after).at, scale.span(after).minutes, part.visit.id, f"{listed(items)} cleaned {after}")
        for after, items in sorted(cleaning.items(), reverse=True)
    ]


def _number(unit: Unit, channel: str) -> int:
    return [ch.id for ch in unit.channels].index(channel)


def _row(unit: Unit, channel: str) -> int:
    """The middle of a channel's rail, rails being 100 high."""
    return _number(unit, channel) * 100 + 50


def _ties(planned: Planned, unit: Unit, parts: list[PlannedPart]) -> list[Tie]:
    ties = []
    for part in parts:
        rails = sorted(_number(unit, channel) for channel in part.outputs_by_channel)
        if len(rails) > 1:
            span = Scale.of(planned.day).span(part.interval)
            hue = planned.outputs.index(next(iter(part.placed.channels))) % 6
            ties.append(Tie(span.at, span.minutes, rails[0], rails[-1], part.visit.id, hue))
    return ties


def _waits(planned: Planned, unit: Unit, parts: list[PlannedPart]) -> list[Wait]:
    scale = Scale.of(planned.day)
    waits = []
    for part in parts:
        after = [p for p in planned.parts if p.visit.id == part.visit.id and p.index == part.index + 1]
        for following in after:
            start, end = scale.at(part.interval.end), scale.at(following.interval.start)
            path = f"M{start} {_row(unit, next(iter(part.outputs_by_channel)))}H{end}"
            if following.placed.unit == unit.id:
                path += f"V{_row(unit, next(iter(following.outputs_by_channel)))}"
            waits.append(Wait(path, part.visit.id))
    return waits


def _standings(planned: Planned, unit: Unit) -> tuple[Standing, ...]:
    day, scale = planned.day, Scale.of(planned.day)
    stays, on_the_way = planned.unit_stays(unit.id), [move for move in moves(planned) if move.unit == unit.id]
    if not stays:
        return ()
    found, since, place = [], day.open, stays[0].place
    for move in on_the_way:
        found.append(_standing(planned, Interval(since, move.minutes.start), place))
        found.append(Standing(scale.span(move.minutes), _moving(planned, move), True))
        since, place = move.minutes.end, move.to_place
    found.append(_standing(planned, Interval(since, day.close), place))
    return tuple(found)


def _standing(planned: Planned, interval: Interval, place: str) -> Standing:
    return Standing(Scale.of(planned.day).span(interval), planned.day.place_by_id[place].name, False)


def _moving(planned: Planned, move: Move) -> str:
    to = planned.day.place_by_id[move.to_place].name
    return f"moves to {to}, by {clock(move.minutes.end)}"
