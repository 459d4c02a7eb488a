"""The first plan: visits one after the other, each at its best offer, before any search."""

from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.masks.pauses import take_break
from solver.problem import Day
from solver.visits import Visit


def construct(day: Day) -> Ledger | None:
    """A right plan as a ledger; None where the fixed visits and the breaks find no room in this order.

    Fixed visits first, then breaks, then the others by priority and by how little room they have.
    """
    ledger = Ledger(day)
    order = sorted(day.visits, key=lambda visit: urgency(day, visit))
    fixed = [visit for visit in order if visit.fixed is not None]
    for visit in fixed:
        placed = best_offer(ledger, visit)
        if placed is None:
            return None
        ledger.add(placed)
    for member in day.staff:
        narrow_first = sorted(range(len(member.breaks)), key=lambda i: member.breaks[i].between.minutes)
        if not all(take_break(ledger, member, i) for i in narrow_first):
            return None
    fill(ledger)
    return ledger


def fill(ledger: Ledger) -> None:
    """Add every visit that is not in the plan yet and finds room, the most urgent first."""
    day = ledger.day
    for visit in sorted(day.visits, key=lambda visit: urgency(day, visit)):
        if visit.id not in ledger.visits:
            placed = best_offer(ledger, visit)
            if placed is not None:
                ledger.add(placed)


def urgency(day: Day, visit: Visit) -> tuple[int, int, int]:
    """Sorts first what must be placed first: much fixed, high priority, little room."""
    minutes = sum(part.minutes for part in visit.parts)
    room = sum(max(0, free.minutes - minutes) for free in day.visit_free(visit))
    settled = 0 if visit.fixed is None else len(visit.fixed.parts)
    return (-settled, -visit.priority, room)
