"""The aim ``finish``: minutes from open to the latest end of any part."""

from typing import TYPE_CHECKING

from solver.names import AimName
from solver.outline import Outline
from solver.problem import Day
from solver.visits import Visit

if TYPE_CHECKING:
    from solver.exact.hinted import Expression
    from solver.exact.model import DayModel


class Finish:
    name: AimName = "finish"

    def cost(self, day: Day, visit: Visit, outline: Outline) -> int:
        return outline.end - day.open

    def minimise(self, model: "DayModel") -> "Expression":
        day = model.day
        latest = model.integer("finish", 0, day.close - day.open, lambda plan: plan.finish())
        for visit in day.visits:
            model.cp.add(latest >= model.end(visit.id) - day.open).only_enforce_if(model.present[visit.id])
        return latest
