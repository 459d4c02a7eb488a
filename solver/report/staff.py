"""How much of each member's duty went into phases they do."""

from solver.clinic import StaffMember
from solver.clock import Interval, union_minutes
from solver.problem import Day
from solver.report.figures import StaffFigures
from solver.report.ratios import utilisation
from solver.schedule import Plan


def staff_figures(day: Day, plan: Plan) -> list[StaffFigures]:
    return [_member(day, plan, member) for member in day.staff]


def hands_of(day: Day, plan: Plan, member: str) -> list[Interval]:
    """The phases that a member does, as minutes of the day."""
    return [
        interval
        for visit in plan.visits
        for part, placed in zip(day.visit_by_id[visit.id].parts, visit.parts, strict=True)
        for (_, interval), who in zip(part.phases_at(placed.start), placed.hands, strict=True)
        if who == member
    ]


def breaks_of(plan: Plan, member: str) -> list[Interval]:
    return [Interval(each.start, each.end) for each in plan.breaks if each.staff == member]


def _member(day: Day, plan: Plan, member: StaffMember) -> StaffFigures:
    breaks = breaks_of(plan, member.id)
    either = union_minutes([*member.hours, *breaks])
    duty = either - union_minutes(breaks)
    hands = union_minutes(hands_of(day, plan, member.id))
    return {"id": member.id, "duty_min": duty, "hands_min": hands, "raw": utilisation(hands, duty)}
