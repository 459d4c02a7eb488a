"""One call of CP-SAT: with its limits, its news on the way, and a way to stop it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from ortools.sat.python import cp_model

from solver.exact.hinted import Expression
from solver.exact.model import DayModel
from solver.names import AimName
from solver.progress import StopRequest
from solver.schedule import Plan
from solver.stopping import stopping

TWO_WORKERS = ("max_lp", "quick_restart")
"""What two workers search with: left alone they would not use linear programmes, and prove less.

Of two workers OR-Tools 9.15 lets one search, with the first of these that it can use: some need a score that can still
become less. The other looks for plans, around the best one where there is one.
"""
TWO_WORKERS_FOR: Mapping[AimName, Sequence[str]] = {
    "placed": ("objective_lb_search", "max_lp"),
    "stable": ("core", "default_lp"),
    "wish": ("core", "default_lp"),
    "therapist": ("core", "default_lp"),
    "wait": ("core", "default_lp"),
    "finish": TWO_WORKERS,
}
"""The same for an aim: where small costs add up, the bound is raised step by step, or it is asked which costs cannot
all be spared. Which are best was measured on the days of the bench."""
AT_THE_BOUND = ("no_lp", "max_lp")
"""The same where only plans at the bound are looked for: few starts are left, and mostly there is such a plan."""

LEFT_OUT = ("fj",)
"""What no worker does: in OR-Tools 9.15 feasibility jump ended the process on some models of days, with no exception
that could be caught."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """How long and with what a call may search. ``work``: deterministic time, None for no limit."""

    seconds: float
    workers: int
    seed: int
    work: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a call found: ``proved`` where the search came to its end; ``bound`` None where there was no objective."""

    feasible: bool
    proved: bool
    bound: int | None
    work: float


class _News(cp_model.CpSolverSolutionCallback):
    def __init__(self, on_solution: Callable[["_News"], None]) -> None:
        super().__init__()
        self._on_solution = on_solution
        self.fault: BaseException | None = None

    def on_solution_callback(self) -> None:
        try:
            self._on_solution(self)
        except BaseException as fault:  # an exception must not cross the solver's C++ frames
            self.fault = fault
            self.stop_search()


def run(
    model: DayModel,
    limits: Limits,
    *,
    on_solution: Callable[[Callable[[Expression], int]], None],
    on_bound: Callable[[int], bool] = lambda bound: False,
    should_stop: StopRequest = lambda: False,
    two_workers: Sequence[str] = TWO_WORKERS,
) -> Answer:
    """Search the model. Each solution's values go to ``on_solution``; ``on_bound`` returns True to stop.

    ``two_workers``: what each of two does, by the solver's names.
    """
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(limits.seconds, 0.01)
    solver.parameters.catch_sigint_signal = False
    solver.parameters.random_seed = limits.seed
    solver.parameters.num_workers = limits.workers
    # Both would be done anew at each of many calls, on a small day for longer than the search itself.
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.max_presolve_iterations = 1
    solver.parameters.ignore_subsolvers.extend(LEFT_OUT)
    if limits.workers == 1:
        solver.parameters.linearization_level = 2
    elif limits.workers == 2:
        solver.parameters.subsolvers.extend(two_workers)
    if limits.work is not None:
        solver.parameters.max_deterministic_time = limits.work

    def on_new_bound(bound: float) -> None:
        if on_bound(_whole(bound)):
            solver.stop_search()

    if model.cp.has_objective():
        solver.best_bound_callback = on_new_bound
    news = _News(lambda callback: on_solution(callback.value))
    with stopping(solver.stop_search, should_stop):
        status = solver.solve(model.cp, news)
    if news.fault is not None:
        raise news.fault
    if status == cp_model.MODEL_INVALID:
        raise RuntimeError(f"the exact model is invalid: {model.cp.validate()}")
    feasible = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return Answer(
        feasible=feasible,
        proved=status in (cp_model.OPTIMAL, cp_model.INFEASIBLE),
        bound=_whole(solver.best_objective_bound) if feasible and model.cp.has_objective() else None,
        work=solver.response_proto.deterministic_time,
    )


def accepts(
    model: DayModel,
    plan: Plan,
    on_solution: Callable[[Callable[[Expression], int]], None] = lambda value: None,
) -> bool:
    """True where the model allows the plan, with every variable held at what the plan says.

    ``on_solution`` then has the values. Raises RuntimeError where the solver does not say.
    """
    model.hint(plan)
    solver = cp_model.CpSolver()
    solver.parameters.fix_variables_to_their_hinted_value = True
    solver.parameters.cp_model_presolve = False
    solver.parameters.catch_sigint_signal = False
    solver.parameters.num_workers = 1
    news = _News(lambda callback: on_solution(callback.value))
    status = solver.solve(model.cp, news)
    model.forget_hint()
    if news.fault is not None:
        raise news.fault
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.INFEASIBLE):
        raise RuntimeError(f"asked whether the exact model allows a plan: {solver.status_name(status)}")
    return bool(status != cp_model.INFEASIBLE)


def _whole(bound: float) -> int:
    """The least whole score that a bound allows, given that bounds are floating point numbers."""
    return ceil(bound - 1e-6)
