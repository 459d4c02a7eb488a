"""The time-indexed model in OR-Tools CP-SAT, as a general-purpose user would write it: no hint, default settings."""

import time
from math import ceil

from ortools.sat.python import cp_model

from tests.bench.cases import Case
from tests.bench.outcome import Outcome
from tests.bench.peers.time_indexed import TimeIndexed, TooLargeError, time_indexed
from tests.bench.peers.weighted import bounds_of, scores_of, weighted_costs


def run_two_workers(case: Case) -> Outcome:
    return _run(case, 2)


def run_eight_workers(case: Case) -> Outcome:
    return _run(case, 8)


class _Times(cp_model.CpSolverSolutionCallback):
    """When each better solution was found."""

    def __init__(self, began: float) -> None:
        super().__init__()
        self.seconds: list[float] = []
        self._began = began

    def on_solution_callback(self) -> None:
        self.seconds.append(time.monotonic() - self._began)


def _run(case: Case, workers: int) -> Outcome:
    """Building the model counts, as it does for ours; what is left of the time is for the search."""
    day = case.day()
    began = time.monotonic()
    try:
        model = time_indexed(day)
    except TooLargeError as error:
        return Outcome(note=str(error))
    cp, booleans = _cp_model(model)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.max_time_in_seconds = max(0.1, case.seconds - (time.monotonic() - began))
    times = _Times(began)
    status = solver.solve(cp, times)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Outcome(note=f"no plan in {case.seconds:.0f} s")
    scores = scores_of(model, (n for n, boolean in enumerate(booleans) if solver.boolean_value(boolean)))
    return Outcome(
        scores=scores,
        bounds=bounds_of(model.weights(), ceil(solver.best_objective_bound - 1e-6), scores),
        first=times.seconds[0],
        best=times.seconds[-1],
        proof=time.monotonic() - began if status == cp_model.OPTIMAL else None,
    )


def _cp_model(model: TimeIndexed) -> tuple[cp_model.CpModel, list[cp_model.IntVar]]:
    cp = cp_model.CpModel()
    booleans = [cp.new_bool_var("") for _ in range(model.booleans)]
    for row in model.rows:
        total = cp_model.LinearExpr.weighted_sum([booleans[n] for n, _ in row.terms], [c for _, c in row.terms])
        if row.least == row.most and row.least is not None:
            cp.add(total == row.least)
            continue
        if row.least is not None:
            cp.add(total >= row.least)
        if row.most is not None:
            cp.add(total <= row.most)
    costs = weighted_costs(model)
    cp.minimize(cp_model.LinearExpr.weighted_sum([booleans[n] for n in costs], list(costs.values())))
    return cp, booleans
