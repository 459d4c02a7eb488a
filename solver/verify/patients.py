"""At any minute, no more stays on a unit than it can serve at once."""

from collections import defaultdict
from collections.abc import Iterator

from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import Stay, stays_of
from solver.verify.breach import Breach
from solver.verify.sweep import above_zero
from solver.verify.walk import stay_text


class Patients:
    name: RuleName = "patients"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        stays: dict[str, list[Stay]] = defaultdict(list)
        for stay in stays_of(day, plan):
            stays[stay.unit].append(stay)
        for unit in day.units:
            changes: dict[int, int] = defaultdict(int)
            for stay in stays[unit.id]:
                changes[stay.interval.start] += 1
                changes[stay.interval.end] -= 1
            for run, excess in above_zero(changes, -unit.patients_at_once):
                there = ", ".join(stay_text(stay) for stay in stays[unit.id] if stay.interval.meets(run))
                count = unit.patients_at_once + excess
                text = f"{unit.name} has {count} patients at once ({run}), at most {unit.patients_at_once}: {there}"
                yield Breach(self.name, text)
