"""A linear programme as lists, and its solution by OR-Tools' own solvers."""

from collections.abc import Hashable, Sequence
from math import inf

from ortools.math_opt import model_pb2
from ortools.math_opt.python import mathopt
from ortools.util.python import solve_interrupter

from solver.progress import StopRequest
from solver.stopping import stopping


class Programme:
    """Minimise a sum over columns, each at least 0, within rows. Rows are named by keys and made as they are met."""

    def __init__(self) -> None:
        self.costs: list[float] = []
        self._rows: dict[Hashable, tuple[list[int], list[float]]] = {}
        self._limits: dict[Hashable, tuple[float, float]] = {}

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

    def rows(self) -> Sequence[Hashable]:
        return list(self._rows)

    def most_of(self, row: Hashable) -> float:
        """The most that the row can reach with every column at 1."""
        return sum(max(0.0, coefficient) for coefficient in self._rows[row][1])

    def drop(self, row: Hashable) -> None:
        del self._rows[row]

    def solve(self, should_stop: StopRequest) -> float | None:
        """A lower bound of the least sum; infinity where there is no solution, None where it was stopped."""
        model = mathopt.Model.from_model_proto(self._proto())
        interrupter = solve_interrupter.SolveInterrupter()
        with stopping(interrupter.interrupt, should_stop):
            result = mathopt.solve(model, mathopt.SolverType.GLOP, interrupter=interrupter)
        reason = result.termination.reason
        if reason == mathopt.TerminationReason.INFEASIBLE:
            return inf
        if reason != mathopt.TerminationReason.OPTIMAL:
            return None
        return float(result.objective_value())

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
        for number, (row, (columns, coefficients)) in enumerate(self._rows.items()):
            least, most = self._limits.get(row, (-inf, inf))
            proto.linear_constraints.ids.append(number)
            proto.linear_constraints.lower_bounds.append(least)
            proto.linear_constraints.upper_bounds.append(most)
            proto.linear_constraint_matrix.row_ids.extend([number] * len(columns))
            proto.linear_constraint_matrix.column_ids.extend(columns)
            proto.linear_constraint_matrix.coefficients.extend(coefficients)
        return proto
