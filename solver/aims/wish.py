"""The aim ``wish``: minutes between wished and given starts."""

from typing import TYPE_CHECKING

from solver.names import AimName
from solver.outline import Outline
from solver.problem import Day
from solver.visits import Visit

if TYPE_CHECKING:
    from solver.exact.hinted import Expression
    from solver.exact.model import DayModel


class Wish:
    name: AimName = "wish"

    def cost(self, day: Day, visit: Visit, outline: Outline) -> int:
        return 0 if visit.wish is None else abs(outline.start - visit.wish)

    def minimise(self, model: "DayModel") -> "Expression":
        return sum(
            model.distance(f"wish {visit.id}", model.starts[visit.id][0], visit.wish, visit)
            for visit in model.day.visits
            if visit.wish is not None
        )
