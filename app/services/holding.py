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
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.visits import Visit


@dataclass(frozen=True, slots=True)
class Held:
    """``told``: visits whose patients were told, with what they were told. ``there``: whose patients are there."""

    told: Mapping[str, PlacedVisit]
    there: Mapping[str, PlacedVisit]


def held_on(store: Store, kept: KeptDay) -> Held:
    """What would stay on the day. What the day could not keep any more does not, such as a unit that is gone or hours
    that something else has by now: a search would only say that it cannot stand."""
    there = _codes_there(store, kept.day.date)
    placed = {one.id: one for one in kept.plan.visits} if kept.plan is not None else {}
    here = {code: placed[code] for code in sorted(there & placed.keys())}
    told = {
        code: one
        for code, one in kept.day.published_by_id.items()
        if code not in there and _same_parts(kept.day.visit_by_id.get(code), one)
    }
    return Held(_beside_what_is_fixed(kept.day, placed, here, told), here)


def _beside_what_is_fixed(
    day: Day, placed: Mapping[str, PlacedVisit], there: Mapping[str, PlacedVisit], told: Mapping[str, PlacedVisit]
) -> dict[str, PlacedVisit]:
    """Those of the told visits that find room one after the other, once whoever is there and what is fixed have theirs;
    first those that the plan has as they were told.

    One that is passed over although it could stay is not lost: the aim ``stable`` still counts what it was told.
    """

    def comes(visit: Visit) -> tuple[bool, ...]:
        return visit.id not in there, visit.fixed is None, not _as_told(placed.get(visit.id), told.get(visit.id))

    ledger, found = Ledger(day), {}
    for visit in sorted(day.visits, key=comes):
        offer = None
        if visit.id in there:
            offer = best_offer(ledger, fixed_as(visit, there[visit.id], whole=True))
        elif visit.id in told:
            offer = best_offer(ledger, fixed_as(visit, told[visit.id], whole=False))
            if offer is not None:
                found[visit.id] = told[visit.id]
        if offer is None and visit.fixed is not None:
            offer = best_offer(ledger, visit)
        if offer is not None:
            ledger.add(offer)
    return found


def _same_parts(visit: Visit | None, told: PlacedVisit) -> bool:
    return visit is not None and [part.id for part in visit.parts] == [part.id for part in told.parts]


def _as_told(placed: PlacedVisit | None, told: PlacedVisit | None) -> bool:
    """True where each part has the start and the unit that the patient was told."""
    if placed is None or told is None:
        return False
    return [(part.start, part.unit) for part in placed.parts] == [(part.start, part.unit) for part in told.parts]


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
