"""Whether a search has found anything better than the plan that is kept: nobody is sent elsewhere for nothing."""

from dataclasses import replace

from solver.changes import snapshot_of
from solver.compose import plan_of, vector_of
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify


def as_good(day: Day, kept: Plan, found: Plan) -> bool:
    """True where the kept plan is right for the day that was searched, and what was found has no better scores."""
    own = plan_of(day, *snapshot_of(kept))
    return vector_of(day, own) <= vector_of(day, found) and not verify(day, own)


def proved_by(kept: Plan, found: Plan) -> Plan:
    """The kept plan with what is known of its day by now, from both, where their scores are equal; else as it is."""
    if kept.scores != found.scores:
        return kept
    bounds = {aim: max(bound, found.bounds.get(aim, 0)) for aim, bound in kept.bounds.items()}
    return replace(kept, status="optimal" if "optimal" in (kept.status, found.status) else kept.status, bounds=bounds)
