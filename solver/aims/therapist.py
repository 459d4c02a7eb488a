"""The aim ``therapist``: placed visits that have another therapist than they wished for."""

from typing import TYPE_CHECKING

from solver.names import AimName
from solver.outline import Outline
from solver.problem import Day
from solver.visits import Visit

if TYPE_CHECKING:
    from solver.exact.hinted import Expression
    from solver.exact.model import DayModel


class TherapistWish:
    name: AimName = "therapist"

    def cost(self, day: Day, visit: Visit, outline: Outline) -> int:
        return int(
            visit.therapist_wish is not None and visit.needs_therapist and outline.therapist != visit.therapist_wish
        )

    def minimise(self, model: "DayModel") -> "Expression":
        return sum(
            model.present[visit.id] - model.therapist[visit.id].get(visit.therapist_wish, 0)
            for visit in model.day.visits
            if visit.therapist_wish is not None and visit.needs_therapist
        )
