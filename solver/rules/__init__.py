"""The rules of the day contract in the exact model: one class per rule, the same names as in ``solver.verify``.

``constrain`` adds the rule to a model. A rule that is not called leaves its freedom to the model: that is how one finds
out which rules stand in the way.
"""

from collections.abc import Mapping
from typing import Protocol

from solver.exact.model import DayModel
from solver.names import RULES, RuleName
from solver.rules.applicator import ApplicatorRule
from solver.rules.battery import BatteryRule
from solver.rules.bay import BayRule
from solver.rules.break_ import BreakRule
from solver.rules.channels import ChannelsRule
from solver.rules.fixed import FixedRule
from solver.rules.grid import GridRule
from solver.rules.hands import HandsRule
from solver.rules.hours import HoursRule
from solver.rules.patient import PatientRule
from solver.rules.patients import PatientsRule
from solver.rules.place import PlaceRule
from solver.rules.suction import SuctionRule
from solver.rules.therapist import TherapistRule
from solver.rules.unit import UnitRule
from solver.rules.watch import WatchRule


class Rule(Protocol):
    name: RuleName

    def constrain(self, model: DayModel) -> None:
        """Allow only what the rule allows."""


_ALL: tuple[Rule, ...] = (
    GridRule(),
    HoursRule(),
    PatientRule(),
    UnitRule(),
    ChannelsRule(),
    PatientsRule(),
    PlaceRule(),
    BayRule(),
    SuctionRule(),
    ApplicatorRule(),
    HandsRule(),
    TherapistRule(),
    WatchRule(),
    BreakRule(),
    BatteryRule(),
    FixedRule(),
)
RULE_CLASSES: Mapping[RuleName, Rule] = {name: next(rule for rule in _ALL if rule.name == name) for name in RULES}


def constrain(model: DayModel) -> None:
    """Add every rule that the model does not leave out."""
    for name, rule in RULE_CLASSES.items():
        if name not in model.without:
            rule.constrain(model)
