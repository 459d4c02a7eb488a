"""The first plan: visits one after the other, each at its best offer, before any search."""

from collections.abc import Callable, Collection

from solver.compose import plan_of, vector_of
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.masks.pauses import take_break
from solver.problem import Day
from solver.visits import Visit

Order = Callable[[Day, Visit], tuple[int, ...]]

MOST_VISITS = 150
"""Up to so many visits a second order is tried where the first leaves somebody out."""
MOST_ORDERS = 12
"""Orders of the fixed visits that are tried."""


def construct(day: Day, on_first: Callable[[Ledger], object] = lambda ledger: None) -> Ledger | None:
    """A right plan as a ledger; None where the fixed visits and the breaks find no room in this order.

    Fixed visits first, then breaks, then the others: by what they were told or wish for, which brings them nearest to
    it; where that leaves somebody out, also by urgency, and the better of the two. ``on_first`` has the plan of the
    first order before another is tried, and keeps nothing of the ledger, which goes on to change.
    """
    ledger = _settled(day)
    if ledger is None:
        return None
    settled = frozenset(ledger.visits)
    fill(ledger, by_wish)
    on_first(ledger)
    if len(ledger.visits) < len(day.visits) <= MOST_VISITS:
        found, scores = dict(ledger.visits), _scores(ledger)
        _take_out(ledger, settled)
        fill(ledger, urgency)
        if _scores(ledger) >= scores:
            _take_out(ledger, settled)
            for id, placed in found.items():
                if id not in settled:
                    ledger.add(placed)
    return ledger


def _settled(day: Day) -> Ledger | None:
    """The fixed visits and the breaks; a fixed visit that finds no room is tried again before the others."""
    order = sorted((visit for visit in day.visits if visit.fixed is not None), key=lambda v: urgency(day, v))
    for _ in range(MOST_ORDERS):
        ledger = Ledger(day)
        for visit in order:
            placed = best_offer(ledger, visit)
            if placed is None:
                break
            ledger.add(placed)
        else:
            return ledger if _take_breaks(ledger) else None
        if visit is order[0]:
            return None
        order = [visit, *(other for other in order if other is not visit)]
    return None


def _take_breaks(ledger: Ledger) -> bool:
    """Every break of every member, the narrowest first; False where one finds no room."""
    for member in ledger.day.staff:
        narrow_first = sorted(range(len(member.breaks)), key=lambda i: member.breaks[i].between.minutes)
        if not all(take_break(ledger, member, i) for i in narrow_first):
            return False
    return True


def _take_out(ledger: Ledger, settled: Collection[str]) -> None:
    """All but those that are settled."""
    for id in [id for id in ledger.visits if id not in settled]:
        ledger.remove(id)


def _scores(ledger: Ledger) -> tuple[int, ...]:
    return vector_of(ledger.day, plan_of(ledger.day, ledger.visits, ledger.breaks))


def by_wish(day: Day, visit: Visit) -> tuple[int, ...]:
    """Sorts by the start that was told, where that counts, then by the wished one, and last whoever wishes for none."""
    told = day.published_by_id.get(visit.id) if "stable" in day.aims else None
    if told is not None and told.parts:
        return (0, told.parts[0].start, room(day, visit))
    return (1, day.close if visit.wish is None else visit.wish, room(day, visit))


def urgency(day: Day, visit: Visit) -> tuple[int, ...]:
    """Sorts first what must be placed first: much fixed, high priority, little room."""
    settled = 0 if visit.fixed is None else len(visit.fixed.parts)
    return (-settled, -visit.priority, room(day, visit))


def room(day: Day, visit: Visit) -> int:
    """Minutes by which the patient's free time is longer than the visit."""
    minutes = visit.minutes
    return sum(max(0, free.minutes - minutes) for free in day.visit_free(visit))


def fill(ledger: Ledger, order: Order = urgency) -> None:
    """Add every visit that is not in the plan yet and finds room, in the order."""
    day = ledger.day
    for visit in sorted(day.visits, key=lambda visit: order(day, visit)):
        if visit.id not in ledger.visits:
            placed = best_offer(ledger, visit)
            if placed is not None:
                ledger.add(placed)
