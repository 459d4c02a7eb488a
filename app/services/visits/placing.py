"""A day and its plan without a visit, with it again, and with its patient told: everybody else stays where they are."""

from dataclasses import replace

from solver.compose import explained
from solver.problem import Day
from solver.schedule import LeftOut, PlacedVisit, Plan
from solver.verify.scores import scores_of
from solver.visits import Visit


def without(day: Day, plan: Plan | None, code: str) -> tuple[Day, Plan | None]:
    """Nobody is told of the visit any more; why others are left out is looked at again."""
    day = replace(
        day,
        visits=tuple(visit for visit in day.visits if visit.id != code),
        published=tuple(told for told in day.published if told.id != code),
    )
    if plan is None:
        return day, None
    visits = tuple(placed for placed in plan.visits if placed.id != code)
    left = tuple(one for one in plan.left_out if one.id != code)
    return day, rescored(day, replace(plan, visits=visits, left_out=left))


def with_visit(day: Day, plan: Plan | None, visit: Visit, placed: PlacedVisit | None) -> tuple[Day, Plan | None]:
    """The visit last of the day's. Whether the plan is right is for the verifier to say."""
    day = replace(day, visits=(*day.visits, visit))
    if plan is None:
        return day, None
    if placed is None:
        return day, rescored(day, replace(plan, left_out=(*plan.left_out, LeftOut(id=visit.id, reasons=()))))
    return day, rescored(day, replace(plan, visits=(*plan.visits, placed)))


def with_told(day: Day, plan: Plan, placed: PlacedVisit) -> tuple[Day, Plan]:
    """What is proved of the plan stays so where nobody had been told of the visit: then one more sum is added to what
    ``stable`` adds up, and it is 0."""
    was_told = placed.id in day.published_by_id
    day = replace(day, published=(*(told for told in day.published if told.id != placed.id), placed))
    return (day, rescored(day, plan)) if was_told else (day, plan)


def rescored(day: Day, plan: Plan) -> Plan:
    """Nothing is proved of the changed plan."""
    changed = replace(plan, status="feasible", bounds=dict.fromkeys(day.aims, 0), scores={})
    return explained(day, replace(changed, scores=scores_of(day, changed)))
