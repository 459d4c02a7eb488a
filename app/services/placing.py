"""A day and its plan with visits placed, moved, told or taken out, all others staying exactly where they are."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TypeVar

from solver.compose import explained, plan_of
from solver.construct import construct
from solver.problem import Day
from solver.schedule import LeftOut, PlacedVisit, Plan
from solver.verify.scores import scores_of
from solver.visits import Fixed, FixedPart, Visit

AnyPlan = TypeVar("AnyPlan", Plan, Plan | None)


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
    return day, _with_those(day, plan, {**{one.id: one for one in plan.visits}, **placed})


def with_visit(day: Day, plan: Plan | None, visit: Visit, placed: PlacedVisit | None) -> tuple[Day, Plan | None]:
    """The visit last of the day's. Whether the plan is right is for the verifier to say."""
    if plan is not None and placed is not None:
        return with_placed(day, plan, [visit], {visit.id: placed}, ())
    day = replace(day, visits=(*day.visits, visit))
    if plan is None:
        return day, None
    return day, rescored(day, replace(plan, left_out=(*plan.left_out, LeftOut(id=visit.id, reasons=()))))


def with_told(day: Day, plan: Plan, placed: PlacedVisit) -> tuple[Day, Plan]:
    """What is proved of the plan stays so where nobody had been told of the visit: then one more sum is added to what
    ``stable`` adds up, and it is 0."""
    was_told = placed.id in day.published_by_id
    day = replace(day, published=(*(told for told in day.published if told.id != placed.id), placed))
    return (day, rescored(day, plan)) if was_told else (day, plan)


def without(day: Day, plan: AnyPlan, ids: Iterable[str]) -> tuple[Day, AnyPlan]:
    """The day and the plan without these visits, and nobody told; why others are left out is looked at again."""
    gone = set(ids)
    day = replace(
        day,
        visits=tuple(visit for visit in day.visits if visit.id not in gone),
        published=tuple(one for one in day.published if one.id not in gone),
    )
    if plan is None:
        return day, plan
    return day, _with_those(day, plan, {one.id: one for one in plan.visits if one.id not in gone})


def rescored(day: Day, plan: Plan) -> Plan:
    """Nothing is proved of the changed plan."""
    changed = replace(plan, status="feasible", bounds=dict.fromkeys(day.aims, 0), scores={})
    return explained(day, replace(changed, scores=scores_of(day, changed)))


def fixed_as(visit: Visit, placed: PlacedVisit, *, whole: bool = True) -> Visit:
    """The visit fixed as it is placed. ``whole``: channels and items too; else those only that were fixed before."""
    parts = tuple(
        FixedPart(
            start=part.start,
            unit=part.unit,
            place=part.place,
            bay=part.bay,
            channels=part.channels if whole else visit.fixed_part(i).channels,
            items=part.items if whole else visit.fixed_part(i).items,
        )
        for i, part in enumerate(placed.parts)
    )
    return replace(visit, fixed=Fixed(therapist=placed.therapist, therapist_given=True, parts=parts))


def _with_those(day: Day, plan: Plan, placed: Mapping[str, PlacedVisit]) -> Plan:
    present = {visit.id for visit in day.visits}
    changed = replace(
        plan,
        visits=tuple(placed[visit.id] for visit in day.visits if visit.id in placed),
        left_out=tuple(left for left in plan.left_out if left.id in present and left.id not in placed),
    )
    return rescored(day, changed)
