"""A plan in a few lines that a front desk can read."""

from collections.abc import Iterator

from solver.names import AimName
from solver.problem import Day
from solver.schedule import Plan

_AIM_WORDS: dict[AimName, str] = {
    "placed": "priority left out",
    "stable": "change against what was published",
    "wish": "minutes off the wished starts",
    "therapist": "visits with another therapist than wished",
    "wait": "minutes of waiting between parts",
    "finish": "minutes from opening to the last end",
}
_STATUS_WORDS = {
    "optimal": "proved best in every aim",
    "feasible": "right, and perhaps not the best",
    "infeasible": "impossible: the fixed visits and the breaks cannot all stand",
}


def summary(day: Day, plan: Plan) -> Iterator[str]:
    """The lines: status, visits placed, visits left out with reasons, each aim with its score and bound."""
    yield f"Plan for {plan.date.isoformat()}: {plan.status} ({_STATUS_WORDS[plan.status]})."
    if plan.status == "infeasible":
        yield "These cannot hold together:"
        for clash in plan.conflict:
            yield f"  {clash.id}: {', '.join(clash.rules)}"
        return
    yield f"Placed: {len(plan.visits)} of {len(day.visits)} visits."
    if plan.left_out:
        yield "Left out:"
    for left_out in plan.left_out:
        yield f"  {left_out.id}: " + "; ".join(f"{reason.text} ({reason.rule})" for reason in left_out.reasons)
    if plan.scores:
        yield "Aims, in the day's order (less is better):"
    for aim, score in plan.scores.items():
        bound = plan.bounds.get(aim, 0)
        proved = "proved least" if bound == score else f"proved to be at least {bound}"
        yield f"  {aim}: {score} {_AIM_WORDS[aim]}, {proved}"
