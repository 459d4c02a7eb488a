"""Units counted by the 8-minute rule."""

from solver.problem import Day
from solver.schedule import Plan


def counted_units(minutes: int) -> int:
    """Units that so many hands-on minutes of one visit count for: floor((m + 7) ÷ 15).

    The 8-minute rule, published by CMS: 8 to 22 minutes are one unit, 23 to 37 two, and so on.
    """
    return (minutes + 7) // 15


def units_of_plan(day: Day, plan: Plan) -> int:
    """Units of all placed visits, each counted for the sum of its `therapist` phases."""
    return sum(
        counted_units(
            sum(
                phase.minutes
                for part in day.visit_by_id[placed.id].parts
                for phase in part.phases
                if phase.hands == "therapist"
            )
        )
        for placed in plan.visits
    )
