"""Asks the exact model about one plan, every variable held at what the plan says."""

from collections.abc import Callable, Sequence

from ortools.sat.python import cp_model

from solver.exact.hinted import Expression
from solver.exact.model import DayModel
from solver.exact.naming import Naming
from solver.exact.solving import Limits
from solver.problem import Day
from solver.rules import constrain
from solver.rules.battery import BatteryRule
from solver.schedule import Plan
from solver.verify.scores import scores_of

LIMITS = Limits(seconds=30.0, workers=1, seed=0)


class Held(cp_model.CpSolverSolutionCallback):
    """Keeps what the model's naming makes of the one solution there is."""

    def __init__(self, model: DayModel) -> None:
        super().__init__()
        self.model = model
        self.plan: Plan | None = None

    def on_solution_callback(self) -> None:
        value: Callable[[Expression], int] = self.value
        self.plan = Naming(self.model, value).plan()


def accepted(day: Day, plan: Plan, learnt_from: Sequence[Plan] = ()) -> Plan | None:
    """The plan as the model gives it back when every variable is held at its hint; None where the model refuses it.

    ``learnt_from``: plans from which the model has learnt about batteries before.
    """
    model = DayModel(day)
    constrain(model)
    for lesson in learnt_from:
        BatteryRule().learn(model, lesson)
    model.hint(plan)
    solver = cp_model.CpSolver()
    solver.parameters.fix_variables_to_their_hinted_value = True
    solver.parameters.num_workers = 1
    held = Held(model)
    status = solver.solve(model.cp, held)
    if status == cp_model.INFEASIBLE:
        return None
    assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE), solver.status_name()
    return None if BatteryRule().learn(model, plan) else held.plan


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
