"""Whether a visit can start at any of some minutes in a plan, asked of the exact model: slow, and nothing of offers."""

from collections.abc import Collection
from dataclasses import replace

from ortools.sat.python import cp_model

from solver.clinic import Break
from solver.clock import Interval
from solver.exact.solving import Limits
from solver.exact.standing import Standing
from solver.problem import Day
from solver.schedule import Plan
from solver.visits import Visit
from tests.bench.days import fixed_wholly


def can_start_at(day: Day, plan: Plan, visit: Visit, starts: Collection[int], seconds: float = 60.0) -> bool:
    """All of the plan but the visit stays exactly as it is. Raises AssertionError where time runs out."""
    others = [placed for placed in plan.visits if placed.id != visit.id]
    visits = [replace(day.visit_by_id[placed.id], fixed=fixed_wholly(placed)) for placed in others]
    staff = [
        replace(
            member,
            breaks=tuple(
                Break(minutes=taken.end - taken.start, between=Interval(taken.start, taken.end))
                for taken in plan.breaks
                if taken.staff == member.id
            ),
        )
        for member in day.staff
    ]
    standing = Standing(replace(day, visits=(*visits, visit), staff=tuple(staff), published=()))
    model = standing.model
    for placed in others:
        for i, (part, where) in enumerate(zip(day.visit_by_id[placed.id].parts, placed.parts, strict=True)):
            for j, phase in enumerate(part.phases):
                if phase.hands == "anyone":
                    model.cp.add(model.anyone[placed.id, i, j][where.hands[j] or ""] == 1)
    wanted = cp_model.Domain.from_values(sorted(starts))
    model.cp.add_linear_expression_in_domain(model.starts[visit.id][0], wanted)
    answer = standing.ask(lambda: Limits(seconds=seconds, workers=1, seed=0))
    assert answer is not None, "time ran out"
    return answer
