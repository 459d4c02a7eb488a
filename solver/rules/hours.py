"""The rule ``hours``: stays lie within opening hours and one of their unit's hours, breaks within opening hours."""

from solver.clock import Interval
from solver.exact.facts import Facts
from solver.exact.model import DayModel
from solver.names import RuleName


class HoursRule:
    name: RuleName = "hours"

    def constrain(self, model: DayModel) -> None:
        day = model.day
        for stay in model.all_stays():
            id, first, last = stay.visit.id, stay.parts[0], stay.parts[-1]
            model.cp.add(stay.start >= day.open).only_enforce_if(model.present[id])
            model.cp.add(stay.end <= day.close).only_enforce_if(model.present[id])
            for unit, literal in stay.on_unit.items():

                def on_unit(
                    plan: Facts, id: str = id, first: int = first, last: int = last, unit: str = unit
                ) -> Interval | None:
                    return plan.stay(id, first, last) if plan.unit(id, first) == unit else None

                hours = day.unit_hours(day.unit_by_id[unit])
                model.within(f"{id}/{stay.number} hours {unit}", (stay.start, stay.end), hours, literal, on_unit)
        for (staff, i), start in model.breaks.items():
            minutes = day.staff_by_id[staff].breaks[i].minutes
            model.cp.add(start >= day.open)
            model.cp.add(start + minutes <= day.close)
