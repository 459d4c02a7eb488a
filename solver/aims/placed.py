"""The aim ``placed``: the priorities of the visits left out."""

from typing import TYPE_CHECKING

from solver.names import AimName
from solver.outline import Outline
from solver.problem import Day
from solver.visits import Visit

if TYPE_CHECKING:
    from solver.exact.hinted import Expression
    from solver.exact.model import DayModel


class Placed:
    name: AimName = "placed"

    def cost(self, day: Day, visit: Visit, outline: Outline) -> int:
        return 0

    def minimise(self, model: "DayModel") -> "Expression":
        return sum(visit.priority * (1 - model.present[visit.id]) for visit in model.day.visits)
