"""Part and break starts are multiples of the day's step, counted from midnight."""

from collections.abc import Iterator

from solver.clock import clock
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.verify.breach import Breach
from solver.verify.walk import parts_of, staff_name


class Grid:
    name: RuleName = "grid"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        for at in parts_of(day, plan):
            if at.placed.start % day.step_min:
                yield Breach(self.name, f"{at} is not on the grid of {day.step_min} minutes")
        for taken in plan.breaks:
            if taken.start % day.step_min:
                who = staff_name(day, taken.staff)
                text = f"the break of {who} at {clock(taken.start)} is not on the grid of {day.step_min} minutes"
                yield Breach(self.name, text)
