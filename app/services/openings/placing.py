"""A day and its plan with visits placed, moved or taken out, all others staying exactly where they are."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from app.services.visits.placing import rescored
from solver.compose import plan_of
from solver.construct import construct
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.visits import Visit


def plan_with_breaks(day: Day) -> Plan | None:
    """The plan of a day without visits; None where its breaks find no room."""
    ledger = construct(replace(day, visits=()))
    return None if ledger is None else plan_of(ledger.day, ledger.visits, ledger.breaks)


def with_placed(
    day: Day, plan: Plan, visits: Iterable[Visit], placed: Mapping[str, PlacedVisit], told: Iterable[str]
) -> tuple[Day, Plan]:
    """The day with these visits, new or in the place of those of their ids, and its plan with all that is placed.

    ``placed`` may also have visits that the day has already; ``told``: whose patients are told of it now. Whether the
    plan is right is for the verifier to say.
    """
    asked = {visit.id: visit for visit in visits}
    told = set(told)
    published = [one for one in day.published if one.id not in told] + [placed[id] for id in placed if id in told]
    day = replace(
        day,
        visits=(*(asked.pop(visit.id, visit) for visit in day.visits), *asked.values()),
        published=tuple(published),
    )
    return day, _rescored(day, plan, {**{one.id: one for one in plan.visits}, **placed})


def without(day: Day, plan: Plan, ids: Iterable[str]) -> tuple[Day, Plan]:
    """The day and the plan without these visits, and nobody told of them."""
    gone = set(ids)
    day = replace(
        day,
        visits=tuple(visit for visit in day.visits if visit.id not in gone),
        published=tuple(one for one in day.published if one.id not in gone),
    )
    return day, _rescored(day, plan, {one.id: one for one in plan.visits if one.id not in gone})


def _rescored(day: Day, plan: Plan, placed: Mapping[str, PlacedVisit]) -> Plan:
    present = {visit.id for visit in day.visits}
    changed = replace(
        plan,
        visits=tuple(placed[visit.id] for visit in day.visits if visit.id in placed),
        left_out=tuple(left for left in plan.left_out if left.id in present and left.id not in placed),
    )
    return rescored(day, changed)
