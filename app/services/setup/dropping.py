"""A day and its plan after a change: visits that no longer hold are taken out of the plan, all others stay as they are.

Where a set of visits breaks no rule, no smaller set of them does. So the visits are taken in one after the other, fixed
ones first, then by priority, then by start; one stays out where a rule would be broken with it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from app.queries.new_days import Frame
from app.services.setup.merging import merged
from app.services.setup.pausing import breaks_made_right, without_breaks
from solver.problem import Day
from solver.references import visit_reference_faults
from solver.schedule import LeftOut, PlacedBreak, PlacedVisit, Plan, Reason
from solver.verify import RULES, Rule
from solver.verify.plan_shape import sound
from solver.verify.scores import scores_of
from solver.visits import Visit

Reasons = tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class After:
    """``broken``: why each booked visit that no longer holds does not, by its id."""

    day: Day
    plan: Plan | None
    broken: Mapping[str, Reasons]


def after_the_change(day: Day, plan: Plan | None, before: Frame, after: Frame) -> After:
    """The day and its plan. Raises InputError where the change makes no day of it, or a break finds no place."""
    frame = merged(day, before, after)
    if _frame_of(day) == frame:
        return After(day, plan, {})
    lost = {visit.id: reasons for visit in day.visits if (reasons := _names_nothing(frame, visit))}
    frame = replace(frame, published=day.published)
    if plan is None:
        return After(replace(frame, visits=_freed(day.visits, lost)), None, lost)
    placed = [visit for visit in plan.visits if visit.id not in lost]
    whole = replace(frame, visits=_freed(day.visits, lost))
    if _nameless(_frame_of(day)) == _nameless(_frame_of(frame)):
        return After(whole, plan, {})
    if after.closed is not None and after.closes_after(before):
        reason = (Reason(rule="hours", text=after.closed),)
        lost = {**lost, **{visit.id: reason for visit in plan.visits}}
        placed = []
    placed, alone = _by_themselves(whole, placed)
    breaks = breaks_made_right(whole, placed, plan.breaks)
    kept, crowded = _together(whole, placed, breaks)
    lost = {**lost, **alone, **crowded}
    new_day = replace(whole, visits=_freed(day.visits, lost))
    return After(new_day, _plan(new_day, plan, kept, breaks, lost), lost)


def _frame_of(day: Day) -> Day:
    return replace(day, visits=(), published=())


def _nameless(frame: Day) -> Day:
    return replace(
        frame,
        units=tuple(replace(unit, name=unit.id) for unit in frame.units),
        places=tuple(replace(place, name=place.id) for place in frame.places),
        applicators=tuple(replace(pool, name=pool.id) for pool in frame.applicators),
        staff=tuple(replace(member, name=member.id) for member in frame.staff),
    )


def _names_nothing(frame: Day, visit: Visit) -> Reasons:
    """What is fixed of the visit and is not there any more."""
    faults = visit_reference_faults(frame.units, frame.applicators, frame.places, frame.staff, visit)
    return tuple(Reason(rule="fixed", text=f"{visit.id} is fixed, but {fault.what}") for fault in faults)


def _freed(visits: Sequence[Visit], lost: Mapping[str, Reasons]) -> tuple[Visit, ...]:
    """The visits; nothing is fixed any more of those that are lost, for what is fixed must be placed."""
    return tuple(replace(visit, fixed=None) if visit.id in lost else visit for visit in visits)


def _by_themselves(day: Day, visits: Sequence[PlacedVisit]) -> tuple[list[PlacedVisit], dict[str, Reasons]]:
    """Those that hold alone in the day, without breaks; and why the others do not."""
    alone = without_breaks(day)
    suspects = _suspects(alone, visits, ())
    lost = {placed.id: reasons for placed in visits if (reasons := _broken(alone, [placed], (), suspects))}
    return [placed for placed in visits if placed.id not in lost], lost


def _together(
    day: Day, visits: Sequence[PlacedVisit], breaks: Sequence[PlacedBreak]
) -> tuple[list[PlacedVisit], dict[str, Reasons]]:
    """Those that hold together, and why the others do not: judged by the rules that all of them together break."""
    kept, lost = _taken_in(day, visits, breaks, _suspects(day, visits, breaks))
    if lost and _broken(day, kept, breaks):
        return _taken_in(day, visits, breaks, RULES)
    return kept, lost


def _suspects(day: Day, visits: Sequence[PlacedVisit], breaks: Sequence[PlacedBreak]) -> tuple[Rule, ...]:
    """The rules that are broken by all of the visits, and so by some of them."""
    broken = {reason.rule for reason in _broken(day, visits, breaks)}
    return tuple(rule for rule in RULES if rule.name in broken)


def _taken_in(
    day: Day, visits: Sequence[PlacedVisit], breaks: Sequence[PlacedBreak], rules: Sequence[Rule]
) -> tuple[list[PlacedVisit], dict[str, Reasons]]:
    lost: dict[str, Reasons] = {}
    waiting = sorted(visits, key=lambda placed: _order(day, placed))
    kept: list[PlacedVisit] = []
    while waiting:
        count = _most_that_hold(day, kept, waiting, breaks, rules)
        kept += waiting[:count]
        if count < len(waiting):
            lost[waiting[count].id] = _broken(day, [*kept, waiting[count]], breaks)
        waiting = waiting[count + 1 :]
    return [placed for placed in visits if placed.id not in lost], lost


def _most_that_hold(
    day: Day,
    kept: Sequence[PlacedVisit],
    waiting: Sequence[PlacedVisit],
    breaks: Sequence[PlacedBreak],
    rules: Sequence[Rule],
) -> int:
    """How many of the waiting can be added in their order: found by halving, since fewer never break more."""
    if not _broken(day, [*kept, *waiting], breaks, rules):
        return len(waiting)
    holds, fails = 0, len(waiting)
    while fails - holds > 1:
        middle = (holds + fails) // 2
        if _broken(day, [*kept, *waiting[:middle]], breaks, rules):
            fails = middle
        else:
            holds = middle
    return holds


def _order(day: Day, placed: PlacedVisit) -> tuple[bool, int, int, str]:
    visit = day.visit_by_id[placed.id]
    return visit.fixed is None, -visit.priority, placed.parts[0].start, visit.id


def _broken(
    day: Day, visits: Sequence[PlacedVisit], breaks: Sequence[PlacedBreak], rules: Sequence[Rule] = RULES
) -> Reasons:
    """Which of the rules the visits break, with the breaks, in the verifier's words."""
    if not rules:
        return ()
    there = {placed.id for placed in visits}
    only = replace(day, visits=tuple(visit for visit in day.visits if visit.id in there))
    plan = sound(only, Plan(date=day.date, status="feasible", visits=tuple(visits), breaks=tuple(breaks)))
    return tuple(Reason(rule=rule.name, text=breach.text) for rule in rules for breach in rule.check(only, plan))


def _plan(
    day: Day, old: Plan, kept: Sequence[PlacedVisit], breaks: tuple[PlacedBreak, ...], lost: Mapping[str, Reasons]
) -> Plan:
    """Nothing is proved of it: the bounds were those of another day."""
    placed = {visit.id for visit in old.visits}
    left_out = (*old.left_out, *(LeftOut(id=id, reasons=lost[id]) for id in lost if id in placed))
    plan = replace(old, status="feasible", visits=tuple(kept), breaks=breaks, left_out=left_out)
    return replace(plan, scores=scores_of(day, plan), bounds=dict.fromkeys(day.aims, 0))
