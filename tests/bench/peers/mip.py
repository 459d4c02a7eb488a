"""The time-indexed model as a mixed-integer programme in HiGHS, by OR-Tools' model builder, with default settings."""

import time
from math import ceil, inf

from ortools.linear_solver.python import model_builder

from tests.bench.cases import Case
from tests.bench.outcome import Outcome
from tests.bench.peers.time_indexed import TimeIndexed, TooLargeError, time_indexed
from tests.bench.peers.weighted import bounds_of, scores_of, weighted_costs


def run_highs(case: Case) -> Outcome:
    """HiGHS does not tell its caller when it found a plan, so only the time to its end is known."""
    day = case.day()
    began = time.monotonic()
    try:
        model = time_indexed(day)
    except TooLargeError as error:
        return Outcome(note=str(error))
    mip, booleans = _mip(model)
    solver = model_builder.Solver("HIGHS")
    solver.set_time_limit_in_seconds(max(0.1, case.seconds - (time.monotonic() - began)))
    status = solver.solve(mip)
    if status not in (model_builder.SolveStatus.OPTIMAL, model_builder.SolveStatus.FEASIBLE):
        return Outcome(note=f"no plan in {case.seconds:.0f} s")
    scores = scores_of(model, (n for n, boolean in enumerate(booleans) if solver.value(boolean) > 0.5))
    return Outcome(
        scores=scores,
        bounds=bounds_of(model.weights(), ceil(solver.best_objective_bound - 1e-6), scores),
        proof=time.monotonic() - began if status == model_builder.SolveStatus.OPTIMAL else None,
    )


def _mip(model: TimeIndexed) -> tuple[model_builder.Model, list[model_builder.Variable]]:
    mip = model_builder.Model()  # type: ignore[no-untyped-call]
    booleans = [mip.new_bool_var(f"x{n}") for n in range(model.booleans)]
    for row in model.rows:
        total = model_builder.LinearExpr.weighted_sum([booleans[n] for n, _ in row.terms], [c for _, c in row.terms])
        least, most = (-inf if row.least is None else row.least), (inf if row.most is None else row.most)
        mip.add_linear_constraint(total, least, most)
    costs = weighted_costs(model)
    mip.minimize(model_builder.LinearExpr.weighted_sum([booleans[n] for n in costs], list(costs.values())))
    return mip, booleans
