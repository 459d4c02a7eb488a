"""A day that was made before a change of the set-up, after it: only what the change is about is another.

What the set-up said of the date before and what it says after are compared. Where they differ the day gets what it says
after; what a day has of its own, such as somebody's longer hours, it keeps minute by minute.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, TypeVar

from app.queries.new_days import Frame, has_room, without
from app.queries.set_up_reading import Kind as ThingKind
from solver.clinic import Applicator, Break, Place, StaffMember, Unit
from solver.clock import Interval
from solver.errors import Fault, InputError
from solver.problem import Day
from solver.reading.clinic_reader import APPLICATOR, MEMBER, PLACE, UNIT
from solver.reading.faults import Faults
from solver.reading.kinds import Kind

Hours = tuple[Interval, ...]
_T = TypeVar("_T")
_OF_THE_DAY = ("step_min", "move_min", "bay_turnover_min", "aims")


def merged(day: Day, before: Frame, after: Frame) -> Day:
    """The day with the change, without its visits and what was told. Raises InputError where it makes no day."""
    changed: dict[str, Any] = {
        key: after.document[key] for key in _OF_THE_DAY if before.document[key] != after.document[key]
    }
    if "aims" in changed:
        changed["aims"] = tuple(changed["aims"])
    opening = day.open_interval
    if after.opening is not None and before.opening != after.opening:
        opening = after.opening
    places = _places(day, before, after)
    units = [_standing(unit, places) for unit in _units(day, before, after, opening)]
    pools = [_fitting(pool, units) for pool in _applicators(day, before, after)]
    staff = _staff(day, before, after, opening)
    try:
        return replace(
            day,
            open=opening.start,
            close=opening.end,
            places=tuple(places),
            units=tuple(units),
            applicators=tuple(pools),
            staff=tuple(staff),
            visits=(),
            published=(),
            **changed,
        )
    except InputError as error:
        raise InputError(fault.under(f"day {day.date}") for fault in error.faults) from None


def _read(kind: Kind[_T], frame: Frame, key: str) -> dict[str, _T]:
    return {document["id"]: kind.read(Faults(), "", document) for document in frame.document[key]}


def _places(day: Day, before: Frame, after: Frame) -> list[Place]:
    old, new = _read(PLACE, before, "places"), _read(PLACE, after, "places")
    kept = [new.get(place.id, place) if old.get(place.id) != new.get(place.id) else place for place in day.places]
    gone = old.keys() - new.keys()
    return [*(p for p in kept if p.id not in gone), *_added(day.place_by_id, old, new)]


def _applicators(day: Day, before: Frame, after: Frame) -> list[Applicator]:
    """A pool that is gone stays, without items, on a day whose visits ask for it."""
    old, new = _read(APPLICATOR, before, "applicators"), _read(APPLICATOR, after, "applicators")
    asked = {pool for visit in day.visits for part in visit.parts for pool in part.applicators}
    pools = []
    for pool in day.applicators:
        if old.get(pool.id) == new.get(pool.id):
            pools.append(pool)
        elif pool.id in new:
            pools.append(new[pool.id])
        elif pool.id in asked:
            pools.append(replace(pool, items=()))
    return [*pools, *_added(day.applicator_by_id, old, new)]


def _units(day: Day, before: Frame, after: Frame, opening: Interval) -> list[Unit]:
    """A unit that is gone stays on the day and is never in service."""
    old, new = _read(UNIT, before, "units"), _read(UNIT, after, "units")
    units = []
    for unit in day.units:
        was, now = old.get(unit.id), new.get(unit.id)
        hours = _service(day, unit, was, now, opening)
        gone = _newly_away("unit", unit.id, before, after)
        if gone:
            hours = tuple(without((opening,) if hours is None else hours, gone))
        if after.closes_after(before) or (was is not None and now is None):
            hours = ()
        is_other = now is not None and (was is None or replace(was, hours=None) != replace(now, hours=None))
        units.append(replace(now if is_other and now is not None else unit, hours=hours))
    return [*units, *_added(day.unit_by_id, old, new)]


def _service(day: Day, unit: Unit, was: Unit | None, now: Unit | None, opening: Interval) -> Hours | None:
    old, new = (() if there is None else there.hours for there in (was, now))
    if old == new:
        return unit.hours
    if unit.hours == old:
        return new
    whole = (opening,)
    hours = _shifted(day.unit_hours(unit), whole if old is None else old, whole if new is None else new)
    return None if hours == whole else hours


def _staff(day: Day, before: Frame, after: Frame, opening: Interval) -> list[StaffMember]:
    """Somebody who is gone stays on the day and is never there."""
    old, new = _read(MEMBER, before, "staff"), _read(MEMBER, after, "staff")
    staff = []
    for member in day.staff:
        was, now = old.get(member.id), new.get(member.id)
        hours, breaks = member.hours, member.breaks
        if was != now:
            had, has = (() if there is None else there.hours for there in (was, now))
            hours = hours if had == has else has if hours == had else _shifted(hours, had, has)
            due_before, due = (() if there is None else there.breaks for there in (was, now))
            breaks = breaks if due_before == due else due if breaks == due_before else _taken(breaks, due_before, due)
        hours = tuple(without(hours, _newly_away("staff", member.id, before, after)))
        if after.closes_after(before) or (was is not None and now is None):
            hours, breaks = (), ()
        if opening != day.open_interval:
            breaks = tuple(due for due in breaks if has_room(due, [opening]) or not has_room(due, [day.open_interval]))
        is_other = now is not None and (was is None or _bare(was) != _bare(now))
        staff.append(replace(now if is_other and now is not None else member, hours=hours, breaks=breaks))
    return [*staff, *_added(day.staff_by_id, old, new)]


def _newly_away(kind: ThingKind, code: str, before: Frame, after: Frame) -> list[Interval]:
    """These minutes go from what a day has of its own too."""
    return without(after.away.get((kind, code), ()), before.away.get((kind, code), ()))


def _bare(member: StaffMember) -> StaffMember:
    return replace(member, hours=(), breaks=())


def _added(known: Any, old: dict[str, _T], new: dict[str, _T]) -> list[_T]:
    return [thing for id, thing in new.items() if id not in old and id not in known]


def _standing(unit: Unit, places: Sequence[Place]) -> Unit:
    """The unit at those of its places that the day has: a day that came as a file may lack some."""
    known = {place.id for place in places}
    if known.issuperset(unit.places):
        return unit
    return replace(unit, places=tuple(place for place in unit.places if place in known))


def _fitting(pool: Applicator, units: Sequence[Unit]) -> Applicator:
    known = {unit.id for unit in units}
    if pool.fits is None or known.issuperset(pool.fits):
        return pool
    return replace(pool, fits=tuple(unit for unit in pool.fits if unit in known))


def _shifted(own: Hours, old: Hours, new: Hours) -> Hours:
    """A day's own hours, without the minutes that are gone and with those that came."""
    lost, came = without(old, new), without(new, old)
    kept = without(own, lost)
    return _joined([*kept, *without(came, kept)])


def _joined(intervals: Sequence[Interval]) -> Hours:
    joined: list[Interval] = []
    for interval in sorted(intervals):
        if joined and joined[-1].end == interval.start:
            joined[-1] = Interval(joined[-1].start, interval.end)
        else:
            joined.append(interval)
    return tuple(joined)


def _taken(own: Sequence[Break], old: Sequence[Break], new: Sequence[Break]) -> tuple[Break, ...]:
    """A day's own breaks, without those that are gone and with those that came."""
    breaks = list(own)
    for due in _more(old, new):
        if due in breaks:
            breaks.remove(due)
    return (*breaks, *_more(new, old))


def _more(one: Sequence[Break], other: Sequence[Break]) -> list[Break]:
    left = list(other)
    more = []
    for due in one:
        if due in left:
            left.remove(due)
        else:
            more.append(due)
    return more


def refused_break(day: Day, member: StaffMember, due: Break) -> InputError:
    """No start is left at which the break can be taken, whoever's visits are taken out."""
    what = f"on {day.date} the break of {due.minutes} minutes of {member.name} within {due.between} finds no place"
    return InputError([Fault("breaks", what, "give the break more room, or put that day right first")])
