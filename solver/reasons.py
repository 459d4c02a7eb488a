"""Why a visit is left out of a plan: rules that, if they were not asked for here, would let the visit in.

Each reason is judged by the verifier: the plan with the visit at the place found breaks the rules named, and no other.
"""

from collections.abc import Iterable
from dataclasses import replace

from solver.clock import clock
from solver.impossible import impossible
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.names import RULES, RuleName
from solver.problem import Day
from solver.schedule import LeftOut, PlacedVisit, Plan, Reason
from solver.verify import verify
from solver.visits import Visit

ASKED_AGAIN: tuple[RuleName, ...] = (
    "grid", "fixed", "unit", "place", "suction", "battery", "break", "hours", "therapist",
    "channels", "patients", "bay", "applicator", "patient", "watch", "hands",
)  # fmt: skip
"""The order in which rules are asked for again: what a clinic can least change first."""


def left_out(ledger: Ledger, plan: Plan, visit: Visit) -> LeftOut:
    """The visit with the fewest rules that keep it out of the plan (which must have it among its left-out visits).

    Where one rule alone stands in the way, at different starts perhaps, each such rule is a reason of its own.
    """
    never = tuple(impossible(ledger.day, visit))
    if never:
        return LeftOut(id=visit.id, reasons=never)
    fits = best_offer(ledger, visit)
    if fits is not None:
        return LeftOut(id=visit.id, reasons=(_unwanted(ledger, fits),))
    asked = [rule for rule in RULES if _may_matter(ledger.day, visit, rule)]
    alone = [reason for rule in asked for reason in _reasons(ledger, plan, visit, frozenset([rule]))]
    return LeftOut(id=visit.id, reasons=tuple(alone or _together(ledger, plan, visit)))


def _may_matter(day: Day, visit: Visit, rule: RuleName) -> bool:
    """False where the visit or the day has nothing that the rule looks at, or where masks never ask for it alone."""
    parts = visit.parts
    match rule:
        case "break":
            return False  # a break keeps hands busy: that is asked for as ``hands``
        case "fixed":
            return visit.fixed is not None
        case "therapist":
            return visit.therapist_must is not None
        case "suction":
            return any(part.suction_kpa is not None for part in parts)
        case "applicator":
            return any(part.applicators for part in parts)
        case "battery":
            return any(unit.battery is not None for unit in day.units)
        case "place":
            return any(len(unit.places) > 1 for unit in day.units)
        case _:
            return True


def _unwanted(ledger: Ledger, placed: PlacedVisit) -> Reason:
    """No rule keeps the visit out: the day puts aims before ``placed`` that are better without it."""
    where = _where(ledger, placed)
    return Reason(rule="hours", text=f"{where} every rule would hold, but an aim that this day puts first would suffer")


def _together(ledger: Ledger, plan: Plan, visit: Visit) -> list[Reason]:
    """Rules that keep the visit out together: all set aside, then asked for again while it still finds a place."""
    without = frozenset(RULES)
    for rule in ASKED_AGAIN:
        if best_offer(ledger, visit, without=without - {rule}) is not None:
            without -= {rule}
    return _reasons(ledger, plan, visit, without)


def _reasons(ledger: Ledger, plan: Plan, visit: Visit, without: frozenset[RuleName]) -> list[Reason]:
    """The verifier's words for the best place that the visit has where the rules are set aside; none where none has."""
    placed = best_offer(ledger, visit, without=without)
    if placed is None:
        return []
    breaches = [breach for breach in verify(ledger.day, _with(plan, placed)) if breach.rule in RULES]
    if not breaches or not {breach.rule for breach in breaches} <= without:
        return []
    texts: dict[RuleName, list[str]] = {}
    for breach in breaches:
        for rule in without:
            if breach.rule == rule:
                texts.setdefault(rule, []).append(breach.text)
    where = _where(ledger, placed)
    return [Reason(rule=rule, text=f"{where}{_along(rule, texts)}: {'; '.join(texts[rule])}") for rule in texts]


def _along(rule: RuleName, rules: Iterable[RuleName]) -> str:
    """Says of a rule that it is in the way only along with others."""
    others = [other for other in rules if other != rule]
    return f", together with {' and '.join(others)}" if others else ""


def _where(ledger: Ledger, placed: PlacedVisit) -> str:
    first = placed.parts[0]
    return f"at {clock(first.start)} on {ledger.day.unit_by_id[first.unit].name}"


def _with(plan: Plan, placed: PlacedVisit) -> Plan:
    """The plan with the visit in it, whatever that breaks."""
    rest = tuple(left for left in plan.left_out if left.id != placed.id)
    return replace(plan, visits=(*plan.visits, placed), left_out=rest)
