"""Part of another plan of the same day taken over: what was made better there, while this one was made so elsewhere."""

from solver.changes import Change
from solver.masks.fitting import fits
from solver.masks.offers import best_offer
from solver.masks.pauses import break_starts
from solver.schedule import PlacedBreak, PlacedVisit
from solver.scored import ScoredPlan


def take_over(plan: ScoredPlan, other: Change) -> Change:
    """Have visits and breaks where another right plan has them, unless this one would be worse so; what is left.

    A visit that does not fit there stays where it is if it can, or goes where it adds least. It may fit later.
    """
    before, scores = plan.snapshot(), plan.scores()
    for id in other.visits:
        if id in plan.ledger.visits:
            plan.take_out(id)
    waiting = {key: taken for key, taken in other.breaks.items() if not _move_break(plan, *key, taken)}
    in_time = sorted(other.visits.values(), key=lambda placed: placed.parts[0].start)
    rest = {placed.id: placed for placed in in_time if not _put_in(plan, placed)}
    for id in rest:
        was = before.visits.get(id)
        if was is None or not _put_in(plan, was):
            _put_anywhere(plan, id)
    if plan.scores() <= scores and plan.stands():
        return Change(rest, waiting)
    plan.restore(before)
    return other


def _put_in(plan: ScoredPlan, placed: PlacedVisit) -> bool:
    """Where the visit is placed, if it fits."""
    found = fits(plan.ledger, placed)
    if found:
        plan.put_in(placed)
    return found


def _put_anywhere(plan: ScoredPlan, id: str) -> None:
    found = best_offer(plan.ledger, plan.day.visit_by_id[id])
    if found is not None:
        plan.put_in(found)


def _move_break(plan: ScoredPlan, staff: str, number: int, wanted: PlacedBreak) -> bool:
    """Where it is wanted, if it can be there."""
    ledger, member = plan.ledger, plan.day.staff_by_id[staff]
    own = ledger.remove_break(staff, number)
    can_be = bool(break_starts(ledger, member, member.breaks[number]) >> wanted.start & 1)
    ledger.add_break(number, wanted if can_be else own)
    return can_be
