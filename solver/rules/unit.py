"""The rule ``unit``: allowed units, places and bays; one of each for all parts with ``same_unit``."""

from solver.exact.model import DayModel
from solver.names import RuleName


class UnitRule:
    """The model's stays are made of allowed sites only (``solver.sites``), so all that is left is to have one."""

    name: RuleName = "unit"

    def constrain(self, model: DayModel) -> None:
        for stay in model.all_stays():
            if not stay.at:
                model.cp.add(model.present[stay.visit.id] == 0)
