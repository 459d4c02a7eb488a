"""The rule ``grid``: part and break starts are multiples of the day's step."""

from solver.clock import DAY_MIN
from solver.exact.model import DayModel
from solver.names import RuleName


class GridRule:
    name: RuleName = "grid"

    def constrain(self, model: DayModel) -> None:
        grid = model.domain(range(0, DAY_MIN + 1, model.day.step_min))
        for starts in model.starts.values():
            for start in starts:
                model.cp.add_linear_expression_in_domain(start, grid)
        for start in model.breaks.values():
            model.cp.add_linear_expression_in_domain(start, grid)
