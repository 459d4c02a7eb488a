"""From what a search has found to a whole plan: scores, bounds, status, and reasons for what is left out."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import count

from solver.errors import PlanRefusedError
from solver.masks.ledger import Ledger
from solver.names import AimName, PlanStatus
from solver.problem import Day
from solver.reasons import left_out
from solver.schedule import LeftOut, PlacedBreak, PlacedVisit, Plan, Reason
from solver.verify import verify
from solver.verify.scores import scores_of

_NOT_ASKED = (Reason(rule="grid", text="not asked yet"),)


def plan_of(day: Day, visits: Mapping[str, PlacedVisit], breaks: Mapping[tuple[str, int], PlacedBreak]) -> Plan:
    """A plan without bounds, its left-out visits still without their true reasons: cheap, for the search's own use."""
    absent = tuple(LeftOut(id=visit.id, reasons=_NOT_ASKED) for visit in day.visits if visit.id not in visits)
    plan = Plan(
        date=day.date,
        status="feasible",
        visits=tuple(visits[visit.id] for visit in day.visits if visit.id in visits),
        left_out=absent,
        breaks=tuple(taken for _, taken in sorted(breaks.items())),
        bounds=dict.fromkeys(day.aims, 0),
    )
    return replace(plan, scores=scores_of(day, plan))


def vector_of(day: Day, plan: Plan) -> tuple[int, ...]:
    """The plan's scores in the order of the day's aims: of two plans the one with less is better."""
    return tuple(plan.scores[aim] for aim in day.aims)


def ledger_of(day: Day, plan: Plan) -> Ledger:
    """A ledger that holds the plan."""
    ledger = Ledger(day)
    for placed in plan.visits:
        ledger.add(placed)
    with_breaks(ledger, plan.breaks)
    return ledger


def with_breaks(ledger: Ledger, breaks: Sequence[PlacedBreak]) -> None:
    """Add a plan's breaks to the ledger."""
    for (_, number), taken in breaks_by_number(breaks).items():
        ledger.add_break(number, taken)


def breaks_by_number(breaks: Sequence[PlacedBreak]) -> dict[tuple[str, int], PlacedBreak]:
    """A plan's breaks by whose they are and which of theirs, in order."""
    numbers: dict[str, Iterator[int]] = defaultdict(count)
    return {(taken.staff, next(numbers[taken.staff])): taken for taken in breaks}


def explained(day: Day, plan: Plan) -> Plan:
    """The plan with the true reasons of its left-out visits: costly, so to be asked for once for a plan."""
    if not plan.left_out:
        return plan
    ledger = ledger_of(day, plan)
    return replace(plan, left_out=tuple(left_out(ledger, plan, day.visit_by_id[left.id]) for left in plan.left_out))


def finished(day: Day, plan: Plan, bounds: Mapping[AimName, int]) -> Plan:
    """An explained plan with its bounds and its status, verified.

    Raises PlanRefusedError where the verifier finds a broken rule: then the search has a fault, and no plan leaves it.
    """
    status: PlanStatus = "optimal" if all(bounds[aim] == plan.scores[aim] for aim in day.aims) else "feasible"
    whole = replace(plan, bounds={aim: bounds[aim] for aim in day.aims}, status=status)
    breaches = verify(day, whole)
    if breaches:
        raise PlanRefusedError(str(breach) for breach in breaches)
    return whole
