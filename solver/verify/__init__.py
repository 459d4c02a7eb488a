"""The verifier: says of a plan which of the contract's rules it breaks.

It counts everything again from the day and the plan alone, exact to the minute, and knows nothing of how plans are
found. Each rule has a file of its own; a value that does not exist is reported by the rule that owns it, only.
"""

from solver.problem import Day
from solver.schedule import Plan
from solver.verify.applicator import ItemsHeld
from solver.verify.battery import BatteryReserve
from solver.verify.bay import Bay
from solver.verify.breach import Breach, Rule
from solver.verify.break_ import Breaks
from solver.verify.channels import Channels
from solver.verify.fixed import FixedKept
from solver.verify.grid import Grid
from solver.verify.hands import HandsOn
from solver.verify.hours import Hours
from solver.verify.patient import Patient
from solver.verify.patients import Patients
from solver.verify.place import PlaceMoves
from solver.verify.plan_shape import check_shape, complete, sound
from solver.verify.scores import check_scores
from solver.verify.status import check_status
from solver.verify.suction import Suction
from solver.verify.therapist import Therapist
from solver.verify.unit import UnitFits
from solver.verify.watch import Watch

RULES: tuple[Rule, ...] = (
    Grid(),
    Hours(),
    Patient(),
    UnitFits(),
    Channels(),
    Patients(),
    PlaceMoves(),
    Bay(),
    Suction(),
    ItemsHeld(),
    HandsOn(),
    Therapist(),
    Watch(),
    Breaks(),
    BatteryReserve(),
    FixedKept(),
)
"""Every rule of the contract, in its order."""


def verify(day: Day, plan: Plan) -> list[Breach]:
    """Every broken rule of the plan, in the contract's order; empty where the plan is right.

    Where a visit's shape is wrong the rules judge the rest of the plan, and the scores are not counted.
    """
    breaches = list(check_shape(day, plan))
    if plan.status != "infeasible":
        judged = sound(day, plan)
        breaches += [breach for rule in RULES for breach in rule.check(day, judged)]
        if complete(day, plan):
            breaches += check_scores(day, plan)
    breaches += check_status(day, plan)
    return breaches


__all__ = ["RULES", "Breach", "Rule", "verify"]
