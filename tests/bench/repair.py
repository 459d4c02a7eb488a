"""A day that has begun and goes wrong: a therapist falls ill at ten, and the rest is to be planned again."""

from dataclasses import replace

from solver.clinic import Break, StaffMember
from solver.clock import Interval
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedVisit, Plan
from solver.visits import Visit
from tests.bench.days import fixed_wholly

ILL_AT = 10 * 60


def repair_day(day: Day, plan: Plan) -> Day:
    """The day as it stands at ten, with ``plan`` as what patients were told and one therapist gone ill.

    The therapist with the most to do after ten leaves at ten, or as soon as the visits they have begun are through.
    Visits begun before ten are fixed wholly and breaks begun before ten stay where they are; every other visit may
    move to any start from ten on, ``stable`` being the second aim. Fixes of visits not yet begun are lifted: what
    patients were told stands for them. Visits that ``plan`` leaves out and whose free time is over are dropped.
    """
    begun = [placed for placed in plan.visits if placed.parts[0].start < ILL_AT]
    ill = _most_to_do(day, plan)
    leaves = max([ILL_AT, *(_hands_end(day, placed, ill.id) for placed in begun)])
    fixed = {placed.id: placed for placed in begun}
    visits = [_begun(visit, fixed[visit.id]) if visit.id in fixed else _later(day, visit) for visit in day.visits]
    return replace(
        day,
        staff=tuple(_member(member, plan, leaves if member is ill else None) for member in day.staff),
        visits=tuple(visit for visit in visits if visit is not None),
        published=plan.visits,
        aims=("placed", "stable", "wish", "therapist", "wait", "finish"),
    )


def _hands(day: Day, placed: PlacedVisit, member: str) -> list[Interval]:
    """When a placed visit has the member's hands."""
    return [
        minutes
        for part, where in zip(day.visit_by_id[placed.id].parts, placed.parts, strict=True)
        for (_, minutes), who in zip(part.phases_at(where.start), where.hands, strict=True)
        if who == member
    ]


def _hands_end(day: Day, placed: PlacedVisit, member: str) -> int:
    return max((minutes.end for minutes in _hands(day, placed, member)), default=0)


def _most_to_do(day: Day, plan: Plan) -> StaffMember:
    def to_do(member: StaffMember) -> int:
        hands = (minutes for placed in plan.visits for minutes in _hands(day, placed, member.id))
        return sum(minutes.minutes for minutes in hands if minutes.start >= ILL_AT)

    return max((member for member in day.staff if member.kind == "therapist"), key=to_do)


def _begun(visit: Visit, placed: PlacedVisit) -> Visit:
    return replace(visit, fixed=fixed_wholly(placed))


def _later(day: Day, visit: Visit) -> Visit | None:
    free = [Interval(max(ILL_AT, span.start), span.end) for span in day.visit_free(visit) if span.end > ILL_AT]
    return replace(visit, fixed=None, free=tuple(free)) if free else None


def _member(member: StaffMember, plan: Plan, leaves: int | None) -> StaffMember:
    """The member with breaks begun before ten held where they are; ``leaves``: without hours and breaks after it."""
    taken = sorted((b for b in plan.breaks if b.staff == member.id), key=lambda b: b.start)
    held = [_held(b) for b in taken if b.start < ILL_AT]
    # The plan's breaks are not numbered; those still to come are the ones that end their ``between`` last.
    to_come = sorted(member.breaks, key=lambda b: b.between.end)[len(held) :]
    if leaves is None:
        return replace(member, breaks=(*held, *(_from_ten(b) for b in to_come)))
    hours = tuple(Interval(span.start, min(span.end, leaves)) for span in member.hours if span.start < leaves)
    return replace(member, hours=hours, breaks=tuple(held))


def _held(taken: PlacedBreak) -> Break:
    return Break(minutes=taken.end - taken.start, between=Interval(taken.start, taken.end))


def _from_ten(rest: Break) -> Break:
    return replace(rest, between=Interval(max(ILL_AT, rest.between.start), rest.between.end))
