"""A day with one more of something, or without a unit. Ids of what is added are the old ones with a ``+``."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal, get_args

from solver.clinic import Channel, Unit
from solver.clock import DAY_MIN, Interval
from solver.problem import Day
from solver.visits import Part, Visit

Kind = Literal["unit", "channel", "item", "bay", "therapist hour", "unit away"]
KINDS: tuple[Kind, ...] = get_args(Kind)
HOUR_MIN = 60


@dataclass(frozen=True, slots=True)
class Variant:
    """``of``: the id of the unit, pool, place or therapist; of a channel its unit's and its own.

    ``freed``: the visits, by id, that are not fixed any more because they were fixed to a unit that is away.
    """

    kind: Kind
    of: str
    day: Day
    freed: tuple[str, ...] = ()


def variants(day: Day) -> Iterator[Variant]:
    """Every one of the day, in its own order. Channels of a unit that drive the same are asked about once."""
    for unit in day.units:
        yield Variant("unit", unit.id, _with_unit(day, unit))
    for unit in day.units:
        for channel in {channel.drives: channel for channel in reversed(unit.channels)}.values():
            added = Channel(id=_new(channel.id, {each.id for each in unit.channels}), drives=channel.drives)
            wider = replace(unit, channels=(*unit.channels, added))
            yield Variant("channel", f"{unit.id} {channel.id}", _with(day, wider))
    for pool in day.applicators:
        known = {item for each in day.applicators for item in each.items}
        more = replace(pool, items=(*pool.items, _new(pool.items[0] if pool.items else pool.id, known)))
        pools = tuple(more if each.id == pool.id else each for each in day.applicators)
        yield Variant("item", pool.id, replace(day, applicators=pools))
    bays = {bay for place in day.places for bay in place.bays}
    for place in day.places:
        roomier = replace(place, bays=(*place.bays, _new(place.bays[0], bays)))
        places = tuple(roomier if each.id == place.id else each for each in day.places)
        yield Variant("bay", place.id, replace(day, places=places))
    yield from _longer(day)
    for unit in day.units:
        yield _without(day, unit)


def _longer(day: Day) -> Iterator[Variant]:
    """Each therapist for an hour more: after their last hours where the clinic is open then, else before the first."""
    for member in day.staff:
        hours = sorted(member.hours)
        if member.kind != "therapist" or not hours:
            continue
        first, last = hours[0], hours[-1]
        if last.end + HOUR_MIN <= min(day.close, DAY_MIN):
            hours[-1] = Interval(last.start, last.end + HOUR_MIN)
        elif first.start - HOUR_MIN >= day.open:
            hours[0] = Interval(first.start - HOUR_MIN, first.end)
        else:
            continue
        staff = tuple(replace(each, hours=tuple(hours)) if each.id == member.id else each for each in day.staff)
        yield Variant("therapist hour", member.id, replace(day, staff=staff))


def _with(day: Day, unit: Unit) -> Day:
    return replace(day, units=tuple(unit if each.id == unit.id else each for each in day.units))


def _without(day: Day, unit: Unit) -> Variant:
    """What is fixed to the unit could not stand without it, and there would be no plan: it is freed, and may move."""
    bound = tuple(visit.id for visit in day.visits if _is_fixed_to(day, visit, unit))
    visits = tuple(_freed(visit) if visit.id in bound else visit for visit in day.visits)
    return Variant("unit away", unit.id, replace(_with(day, replace(unit, hours=())), visits=visits), bound)


def _is_fixed_to(day: Day, visit: Visit, unit: Unit) -> bool:
    """Fixed, so that it must be placed, with a part that is fixed on the unit or can be on no other."""
    if visit.fixed is None:
        return False
    others = [each for each in day.units if each.id != unit.id]
    return any(
        visit.fixed_part(number).unit == unit.id or not any(_can(day, part, other) for other in others)
        for number, part in enumerate(visit.parts)
    )


def _can(day: Day, part: Part, unit: Unit) -> bool:
    """The part may be on the unit, which has the channels for it."""
    drives = Counter(output for channel in unit.channels for output in channel.drives)
    return day.unit_may(part, unit) and all(drives[output] >= count for output, count in part.channels.items())


def _freed(visit: Visit) -> Visit:
    """The visit free to be anywhere, or left out; the fixed time and therapist are its wishes if it has no others."""
    assert visit.fixed is not None, "asked of fixed visits"
    start = visit.fixed_part(0).start
    return replace(
        visit,
        fixed=None,
        wish=start if visit.wish is None else visit.wish,
        therapist_wish=visit.therapist_wish or visit.fixed.therapist,
    )


def _with_unit(day: Day, unit: Unit) -> Day:
    """The copy is allowed wherever the unit is."""
    id = _new(unit.id, {each.id for each in day.units})
    pools = tuple(
        replace(pool, fits=(*pool.fits, id)) if pool.fits and unit.id in pool.fits else pool for pool in day.applicators
    )
    visits = tuple(_allowing(visit, unit.id, id) for visit in day.visits)
    return replace(day, units=(*day.units, replace(unit, id=id)), applicators=pools, visits=visits)


def _allowing(visit: Visit, unit: str, copy: str) -> Visit:
    parts = tuple(
        replace(part, units=(*part.units, copy)) if part.units and unit in part.units else part for part in visit.parts
    )
    return replace(visit, parts=parts)


def _new(id: str, known: set[str]) -> str:
    while id in known:
        id += "+"
    return id
