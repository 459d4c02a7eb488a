"""The rule ``therapist``: a therapist who is a must has the visit."""

from solver.exact.model import DayModel
from solver.names import RuleName


class TherapistRule:
    """A visit without a therapist phase has no therapist: the model has no choice there."""

    name: RuleName = "therapist"

    def constrain(self, model: DayModel) -> None:
        for visit in model.day.visits:
            if visit.therapist_must is not None and visit.needs_therapist:
                wanted = model.therapist[visit.id].get(visit.therapist_must, 0)
                model.cp.add(wanted == model.present[visit.id])
