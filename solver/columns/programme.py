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


class Row:
    """The sum of some columns, each times a coefficient, lies between ``least`` and ``most``."""

    __slots__ = ("_all", "coefficients", "columns", "least", "most")

    def __init__(self, least: float, most: float) -> None:
        self.least = least
        self.most = most
        self.columns: list[int] = []
        self.coefficients: list[float] = []
        self._all = 0.0

    def add(self, column: int, coefficient: float) -> None:
        """Put a column into it; columns come in their order, and what comes of one again is added."""
        if self.columns and self.columns[-1] == column:
            self.coefficients[-1] += coefficient
        else:
            self.columns.append(column)
            self.coefficients.append(coefficient)
        if coefficient > 0:
            self._all += coefficient

    @property
    def may_bind(self) -> bool:
        """False where it allows every column at 1."""
        return self.least > -inf or self._all > self.most


class Programme:
    """Minimise a sum over columns, each at least 0, within rows, which are named by keys."""

    def __init__(self) -> None:
        self.costs: list[float] = []
        self._rows: dict[Hashable, Row] = {}
        self._kept: list[Hashable] = []

    def column(self, cost: float = 0.0) -> int:
        """A new column; its number."""
        self.costs.append(cost)
        return len(self.costs) - 1

    def row(self, key: Hashable) -> Row | None:
        """The row of this name, if there is one."""
        return self._rows.get(key)

    def new_row(self, key: Hashable, least: float = -inf, most: float = inf) -> Row:
        row = self._rows[key] = Row(least, most)
        return row

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
        self._kept = [key for key, row in self._rows.items() if row.may_bind]
        for number, row in enumerate(map(self._rows.__getitem__, self._kept)):
            proto.linear_constraints.ids.append(number)
            proto.linear_constraints.lower_bounds.append(row.least)
            proto.linear_constraints.upper_bounds.append(row.most)
            proto.linear_constraint_matrix.row_ids.extend([number] * len(row.columns))
            proto.linear_constraint_matrix.column_ids.extend(row.columns)
            proto.linear_constraint_matrix.coefficients.extend(row.coefficients)
        return proto
