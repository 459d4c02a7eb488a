"""How close the clinic came to more unattended running parts than it can watch."""

from solver.clinic import StaffMember
from solver.clock import Interval
from solver.problem import Day
from solver.report.staff import breaks_of, hands_of
from solver.schedule import Plan


def lowest_free_watch(day: Day, plan: Plan) -> int | None:
    """Least watch to spare over the minutes with an unattended running part; None where there is no such minute."""
    unattended = [
        interval
        for visit in plan.visits
        for part, placed in zip(day.visit_by_id[visit.id].parts, visit.parts, strict=True)
        for phase, interval in part.phases_at(placed.start)
        if phase.unattended
    ]
    if not unattended:
        return None
    members = [(member, breaks_of(plan, member.id), hands_of(day, plan, member.id)) for member in day.staff]
    changes = {
        minute
        for intervals in (unattended, *((*member.hours, *breaks, *hands) for member, breaks, hands in members))
        for interval in intervals
        for minute in interval
    }
    spare = []
    for minute in changes:
        running = _count(unattended, minute)
        if running:
            watch = sum(_watch(member, breaks, hands, minute) for member, breaks, hands in members)
            spare.append(watch - running)
    return min(spare)


def _watch(member: StaffMember, breaks: list[Interval], hands: list[Interval], minute: int) -> int:
    if not _count(member.hours, minute) or _count(breaks, minute):
        return 0
    return member.watch_busy if _count(hands, minute) else member.watch_free


def _count(intervals: tuple[Interval, ...] | list[Interval], minute: int) -> int:
    return sum(start <= minute < end for start, end in intervals)
