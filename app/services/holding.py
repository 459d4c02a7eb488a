"""Which visits stay where they are while a day is planned again, and the day with them fixed for the search."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.visit_life import codes_present
from app.services.days import KeptDay
from app.services.placing import fixed_as, rescored
from solver.errors import InputError
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan


@dataclass(frozen=True, slots=True)
class Held:
    """``told``: visits whose patients were told, with what they were told. ``there``: whose patients are there."""

    told: Mapping[str, PlacedVisit]
    there: Mapping[str, PlacedVisit]


def held_on(store: Store, kept: KeptDay) -> Held:
    """What would stay on the day. What the day could not keep any more, such as a unit that is gone, does not."""
    there = _codes_there(store, kept.day.date)
    placed = {one.id: one for one in kept.plan.visits} if kept.plan is not None else {}
    told = {
        code: one
        for code, one in kept.day.published_by_id.items()
        if code in kept.day.visit_by_id and code not in there and _can_be_kept(kept.day, code, one)
    }
    return Held(told, {code: placed[code] for code in sorted(there & placed.keys())})


def day_to_search(day: Day, held: Held, free: frozenset[str]) -> Day:
    """The day with those visits fixed, but for the told ones that are ``free`` to move."""
    fixed = {code: one for code, one in held.told.items() if code not in free} | dict(held.there)
    visits = (
        fixed_as(visit, fixed[visit.id], whole=visit.id in held.there) if visit.id in fixed else visit
        for visit in day.visits
    )
    return replace(day, visits=tuple(visits))


def plan_of_day(day: Day, searched: Day, found: Plan) -> Plan:
    """What was found for the day that was searched, as a plan of the day itself: what was proved held there only."""
    return found if searched == day else rescored(day, found)


def _codes_there(store: Store, date: datetime.date) -> set[str]:
    with store.reading() as session:
        row = day_row(session, the_clinic(session).id or 0, date)
        return set() if row is None else codes_present(session, row.id or 0)


def _can_be_kept(day: Day, code: str, told: PlacedVisit) -> bool:
    visit = day.visit_by_id[code]
    if [part.id for part in visit.parts] != [part.id for part in told.parts]:
        return False
    try:
        replace(day, visits=(fixed_as(visit, told, whole=False),), published=())
    except InputError:
        return False
    return True
