"""The aim ``wait``: minutes that placed visits wait between their parts."""

from typing import TYPE_CHECKING

from solver.names import AimName
from solver.outline import Outline
from solver.problem import Day
from solver.visits import Visit

if TYPE_CHECKING:
    from solver.exact.hinted import Expression
    from solver.exact.model import DayModel


class Wait:
    name: AimName = "wait"

    def cost(self, day: Day, visit: Visit, outline: Outline) -> int:
        return outline.wait

    def minimise(self, model: "DayModel") -> "Expression":
        return sum(model.waited(visit) for visit in model.day.visits if len(visit.parts) > 1)
