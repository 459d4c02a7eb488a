"""Whether the bounds of a plan can be true beside its scores, and whether its status claims no more than they prove."""

from collections.abc import Iterator

from solver.problem import Day
from solver.schedule import Plan
from solver.verify.breach import Breach


def check_status(day: Day, plan: Plan) -> Iterator[Breach]:
    for text in _infeasible(day) if plan.status == "infeasible" else _bounds(day, plan):
        yield Breach("status", text)


def _infeasible(day: Day) -> Iterator[str]:
    if not any(visit.fixed for visit in day.visits) and not any(member.breaks for member in day.staff):
        yield "the plan is infeasible, but nothing in the day is fixed and nobody has a break: an empty plan is right"


def _bounds(day: Day, plan: Plan) -> Iterator[str]:
    for aim in day.aims:
        bound, score = plan.bounds.get(aim), plan.scores.get(aim)
        if bound is None:
            yield f"the bound of the aim {aim} is missing"
        elif bound < 0:
            yield f"the bound of the aim {aim} is {bound}; it is 0 at least"
        elif score is not None and bound > max(score, 0):  # a score below 0 comes of a broken rule, told elsewhere
            yield f"the bound of the aim {aim} is {bound}, above its score of {score}"
        elif score is not None and plan.status == "optimal" and bound != score:
            yield f"the plan is called optimal, but the aim {aim} has the score {score} and the bound {bound}"
    for aim in plan.bounds:
        if aim not in day.aims:
            yield f"a bound is stated for {aim}, which is no aim of this day"
