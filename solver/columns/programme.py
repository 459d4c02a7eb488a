"""A linear programme as lists, and its solution by OR-Tools' own solvers."""

from collections.abc import Hashable, Mapping
from math import inf
from typing import NamedTuple

from ortools.math_opt import model_pb2
from ortools.math_opt.python import mathopt
from ortools.util.python import solve_interrupter

from solver.progress import StopRequest
from solver.stopping import stopping


class Solution(NamedTuple):
    """``prices``: what one more of a row's limit would change the value by (the dual values), where that is not 0."""

    value: float
    prices: Mapping[Hashable, float]


class Programme:
    """Minimise a sum over columns, each at least 0, within rows. Rows are named by keys and made as they are met."""

    def __init__(self) -> None:
        self.costs: list[float] = []
        self._rows: dict[Hashable, tuple[list[int], list[float]]] = {}
        self._limits: dict[Hashable, tuple[float, float]] = {}
        self._kept: list[Hashable] = []

    def column(self, cost: float = 0.0) -> int:
        """A new column; its number."""
        self.costs.append(cost)
        return len(self.costs) - 1

    def add(self, row: Hashable, column: int, coefficient: float) -> None:
        """Put a column into a row; columns come in their order, each once a row."""
        columns, coefficients = self._rows.setdefault(row, ([], []))
        if columns and columns[-1] == column:
            coefficients[-1] += coefficient
        else:
            columns.append(column)
            coefficients.append(coefficient)

    def limit(self, row: Hashable, least: float = -inf, most: float = inf) -> None:
        self._limits[row] = (least, most)

    def has(self, row: Hashable) -> bool:
        return row in self._rows

    def solve(self, should_stop: StopRequest) -> Solution | None:
        """The least sum; its value is infinite where there is no solution; None where it was stopped."""
        model = mathopt.Model.from_model_proto(self._proto())
        interrupter = solve_interrupter.SolveInterrupter()
        with stopping(interrupter.interrupt, should_stop):
            result = mathopt.solve(model, mathopt.SolverType.GLOP, interrupter=interrupter)
        reason = result.termination.reason
        if reason == mathopt.TerminationReason.INFEASIBLE:
            return Solution(inf, {})
        if reason != mathopt.TerminationReason.OPTIMAL:
            return None
        prices = zip(self._kept, result.dual_values(model.linear_constraints()), strict=True)
        return Solution(float(result.objective_value()), {row: price for row, price in prices if price})

    def _proto(self) -> model_pb2.ModelProto:
        proto = model_pb2.ModelProto()
        count = len(self.costs)
        proto.variables.ids.extend(range(count))
        proto.variables.lower_bounds.extend([0.0] * count)
        proto.variables.upper_bounds.extend([inf] * count)
        proto.variables.integers.extend([False] * count)
        priced = [(i, cost) for i, cost in enumerate(self.costs) if cost]
        proto.objective.linear_coefficients.ids.extend(i for i, _ in priced)
        proto.objective.linear_coefficients.values.extend(cost for _, cost in priced)
        self._kept = [row for row in self._rows if self._may_bind(row)]
        for number, row in enumerate(self._kept):
            columns, coefficients = self._rows[row]
            least, most = self._limits[row]
            proto.linear_constraints.ids.append(number)
            proto.linear_constraints.lower_bounds.append(least)
            proto.linear_constraints.upper_bounds.append(most)
            proto.linear_constraint_matrix.row_ids.extend([number] * len(columns))
            proto.linear_constraint_matrix.column_ids.extend(columns)
            proto.linear_constraint_matrix.coefficients.extend(coefficients)
        return proto

    def _may_bind(self, row: Hashable) -> bool:
        """False where the row allows every column at 1."""
        least, most = self._limits[row]
        return least > -inf or sum(max(0.0, coefficient) for coefficient in self._rows[row][1]) > most
