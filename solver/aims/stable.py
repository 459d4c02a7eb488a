"""The aim ``stable``: how far placed visits are from what their patients were last told."""

from typing import TYPE_CHECKING

from solver.names import AimName
from solver.outline import Outline
from solver.problem import Day
from solver.visits import Visit

if TYPE_CHECKING:
    from solver.exact.hinted import Expression
    from solver.exact.model import DayModel

OTHER_UNIT = 10
OTHER_THERAPIST = 10


class Stable:
    name: AimName = "stable"

    def cost(self, day: Day, visit: Visit, outline: Outline) -> int:
        told = day.published_by_id.get(visit.id)
        if told is None or not told.parts:
            return 0
        other_unit = OTHER_UNIT * (outline.unit != told.parts[0].unit)
        other_therapist = OTHER_THERAPIST * (outline.therapist != told.therapist)
        return abs(outline.start - told.parts[0].start) + other_unit + other_therapist

    def minimise(self, model: "DayModel") -> "Expression":
        terms: list[Expression] = []
        for visit in model.day.visits:
            told = model.day.published_by_id.get(visit.id)
            if told is None or not told.parts:
                continue
            present = model.present[visit.id]
            terms.append(model.distance(f"stable {visit.id}", model.starts[visit.id][0], told.parts[0].start, visit))
            same_unit = model.on_unit(visit.id, 0).get(told.parts[0].unit, 0)
            terms.append(OTHER_UNIT * (present - same_unit))
            if visit.needs_therapist:
                same_therapist = model.therapist[visit.id].get(told.therapist or "", 0)
                terms.append(OTHER_THERAPIST * (present - same_therapist))
            elif told.therapist is not None:
                terms.append(OTHER_THERAPIST * present)
        return sum(terms)
