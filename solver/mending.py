"""A plan that drains a battery, made right: what a battery cannot bear goes elsewhere, everything else stays."""

from solver.compose import plan_of, with_breaks
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan


def mended(day: Day, plan: Plan) -> Plan:
    """The plan, its visits taken in by start, fixed ones first, each where it is unless a battery then runs too low.

    Those then come in at their best offer, or not at all. All other rules must hold in the plan. A battery that a move
    lets run too low may still do so, and a fixed visit may be left out: the answer is to be verified.
    """
    ledger = Ledger(day)
    with_breaks(ledger, plan.breaks)
    out = []
    for placed in sorted(plan.visits, key=lambda placed: _order(day, placed)):
        ledger.add(placed)
        if not all(ledger.batteries.lasts(part.unit) for part in placed.parts):
            ledger.remove(placed.id)
            out.append(day.visit_by_id[placed.id])
    for visit in out:
        offer = best_offer(ledger, visit)
        if offer is not None:
            ledger.add(offer)
    return plan_of(day, ledger.visits, ledger.breaks)


def _order(day: Day, placed: PlacedVisit) -> tuple[bool, int]:
    return day.visit_by_id[placed.id].fixed is None, placed.parts[0].start
