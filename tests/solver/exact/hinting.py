"""Asks the exact model about one plan, every variable held at what the plan says."""

from collections.abc import Sequence

from solver.exact.model import DayModel
from solver.exact.naming import Naming
from solver.exact.solving import Limits, accepts
from solver.problem import Day
from solver.rules import constrain
from solver.rules.battery import BatteryRule
from solver.schedule import Plan
from solver.verify.scores import scores_of

LIMITS = Limits(seconds=30.0, workers=1, seed=0)


def accepted(day: Day, plan: Plan, learnt_from: Sequence[Plan] = ()) -> Plan | None:
    """The plan as the model gives it back when every variable is held at its hint; None where the model refuses it.

    ``learnt_from``: plans from which the model has learnt about batteries before.
    """
    model = DayModel(day)
    constrain(model)
    for lesson in learnt_from:
        BatteryRule().learn(model, lesson)
    found: list[Plan] = []
    if not accepts(model, plan, lambda value: found.append(Naming(model, value).plan())):
        return None
    return None if BatteryRule().learn(model, plan) else found[0]


def allowed(day: Day, plan: Plan) -> bool:
    """By the model as it is at first: nothing was learnt from other plans, nor is from this one."""
    model = DayModel(day)
    constrain(model)
    return accepts(model, plan)


def outline(day: Day, plan: Plan) -> object:
    """All of a plan but the names of things that are alike."""
    visits = {
        placed.id: (
            placed.therapist,
            [(part.start, part.unit, part.place, part.hands, _sizes(part.channels)) for part in placed.parts],
        )
        for placed in plan.visits
    }
    breaks = sorted((taken.staff, taken.start, taken.end) for taken in plan.breaks)
    return visits, breaks, dict(scores_of(day, plan))


def _sizes(names: object) -> dict[str, int]:
    assert isinstance(names, dict)
    return {key: len(ids) for key, ids in names.items() if ids}
