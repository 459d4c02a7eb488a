"""Why a visit is left out of a plan: rules that, if they were not asked for here, would let the visit in.

Each reason is judged by the verifier: the plan with the visit at the place found breaks the rules named, and no other.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from solver.clock import clock
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.names import RULES, RuleName
from solver.schedule import LeftOut, PlacedVisit, Plan, Reason
from solver.verify import verify
from solver.visits import Visit

MOST_TOGETHER = 3
"""Rules that are set aside together before all are, and taken back one by one."""


def left_out(ledger: Ledger, plan: Plan, visit: Visit) -> LeftOut:
    """The visit with the fewest rules that keep it out of the plan (which must have it among its left-out visits).

    Where one rule alone stands in the way, at different starts perhaps, each such rule is a reason of its own.
    """
    for size in range(1, MOST_TOGETHER + 1):
        reasons: list[Reason] = []
        for rules in combinations(RULES, size):
            found = _reasons(ledger, plan, visit, frozenset(rules))
            reasons += found
            if found and size > 1:
                break
        if reasons:
            return LeftOut(id=visit.id, reasons=tuple(reasons))
    return LeftOut(id=visit.id, reasons=tuple(_by_giving_back(ledger, plan, visit)))


def _by_giving_back(ledger: Ledger, plan: Plan, visit: Visit) -> Iterator[Reason]:
    """All rules set aside, then asked for again one by one while the visit still finds a place."""
    without = frozenset(RULES)
    for rule in RULES:
        if best_offer(ledger, visit, without=without - {rule}) is not None:
            without -= {rule}
    yield from _reasons(ledger, plan, visit, without)


def _reasons(ledger: Ledger, plan: Plan, visit: Visit, without: frozenset[RuleName]) -> list[Reason]:
    """The verifier's words for the best place that the visit has where the rules are set aside; none where none has."""
    placed = best_offer(ledger, visit, without=without)
    if placed is None:
        return []
    breaches = [breach for breach in verify(ledger.day, _with(plan, placed)) if breach.rule in RULES]
    if {breach.rule for breach in breaches} != without:
        return []
    where = f"at {clock(placed.parts[0].start)} on {ledger.day.unit_by_id[placed.parts[0].unit].name}"
    texts: dict[RuleName, list[str]] = {}
    for breach in breaches:
        for rule in without:
            if breach.rule == rule:
                texts.setdefault(rule, []).append(breach.text)
    return [Reason(rule=rule, text=f"{where}: {'; '.join(texts[rule])}") for rule in RULES if rule in texts]


def _with(plan: Plan, placed: PlacedVisit) -> Plan:
    """The plan with the visit in it, whatever that breaks."""
    rest = tuple(left for left in plan.left_out if left.id != placed.id)
    return replace(plan, visits=(*plan.visits, placed), left_out=rest)
