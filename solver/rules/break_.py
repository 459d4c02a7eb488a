"""The rule ``break``: each break lies in its window, and a member's breaks do not overlap."""

from solver.exact.model import DayModel
from solver.names import RuleName


class BreakRule:
    name: RuleName = "break"

    def constrain(self, model: DayModel) -> None:
        for member in model.day.staff:
            for i, wanted in enumerate(member.breaks):
                start = model.breaks[member.id, i]
                model.cp.add(start >= wanted.between.start)
                model.cp.add(start + wanted.minutes <= wanted.between.end)
            if len(member.breaks) > 1:
                model.cp.add_no_overlap([model.break_interval(member, i) for i in range(len(member.breaks))])
