"""The therapist that a visit must have is the one it has; a visit without a therapist phase has none."""

from collections.abc import Iterator

from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.verify.breach import Breach
from solver.verify.walk import staff_name


class Therapist:
    name: RuleName = "therapist"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        for placed in plan.visits:
            visit = day.visit_by_id[placed.id]
            has, must = placed.therapist, visit.therapist_must
            if not visit.needs_therapist:
                if has is not None:
                    text = f"{visit.id} has no phase for a therapist, but names {staff_name(day, has)}"
                    yield Breach(self.name, text)
            elif must is not None and has != must:
                text = f"{visit.id} must be with {staff_name(day, must)}, but is with {staff_name(day, has)}"
                yield Breach(self.name, text)
