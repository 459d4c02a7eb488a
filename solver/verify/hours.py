"""Each stay lies within opening hours and in one of its unit's hours; each break within opening hours."""

from collections.abc import Iterator

from solver.clock import Interval
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import stays_of
from solver.verify.breach import Breach
from solver.verify.walk import staff_name, stay_text


class Hours:
    name: RuleName = "hours"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        for stay in stays_of(day, plan):
            if not day.open_interval.covers(stay.interval):
                yield Breach(self.name, f"{stay_text(stay)} leaves the opening hours {day.open_interval}")
                continue
            unit = day.unit_by_id.get(stay.unit)
            if unit is None:
                continue
            hours = day.unit_hours(unit)
            if not any(interval.covers(stay.interval) for interval in hours):
                listed = ", ".join(str(interval) for interval in hours) or "never"
                yield Breach(self.name, f"{stay_text(stay)} is not within one service time of {unit.name} ({listed})")
        for taken in plan.breaks:
            interval = Interval(taken.start, taken.end)
            if not day.open_interval.covers(interval):
                who = staff_name(day, taken.staff)
                yield Breach(self.name, f"the break of {who} ({interval}) leaves the opening hours {day.open_interval}")
