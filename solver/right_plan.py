"""What a plan must be before questions about it can be answered."""

from solver.errors import Fault, InputError
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify


def refuse_if_wrong(day: Day, plan: Plan) -> None:
    """Raises InputError with each broken rule where the plan is not right for the day, and where it is infeasible."""
    breaches = verify(day, plan)
    if breaches:
        raise InputError(Fault(one.rule, one.text, "give a plan that is right for the day") for one in breaches)
    if plan.status == "infeasible":
        right = "give a feasible or optimal plan"
        raise InputError([Fault("status", "an infeasible plan places nobody, so there is nothing to ask about", right)])
