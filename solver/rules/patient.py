"""The rule ``patient``: visits in free time, parts in order, one visit of a patient at a time."""

from collections.abc import Callable

from solver.clock import Interval
from solver.exact.facts import Facts
from solver.exact.model import DayModel
from solver.names import RuleName
from solver.visits import Visit


class PatientRule:
    name: RuleName = "patient"

    def constrain(self, model: DayModel) -> None:
        by_patient: dict[str, list[Visit]] = {}
        for visit in model.day.visits:
            by_patient.setdefault(visit.patient, []).append(visit)
            present = model.present[visit.id]
            span = (model.starts[visit.id][0], model.end(visit.id))
            model.within(f"{visit.id} free", span, model.day.visit_free(visit), present, self._span(visit))
            # Gaps are not negative, so parts follow in order.
            for part, gap in zip(visit.parts[1:], model.gaps[visit.id], strict=True):
                if part.max_wait_min is not None:
                    model.cp.add(gap <= part.max_wait_min).only_enforce_if(present)
        for visits in by_patient.values():
            if len(visits) > 1:
                model.cp.add_no_overlap([model.visit_interval(visit) for visit in visits])

    @staticmethod
    def _span(visit: Visit) -> Callable[[Facts], Interval | None]:
        return lambda plan: plan.stay(visit.id, 0, len(visit.parts) - 1)
