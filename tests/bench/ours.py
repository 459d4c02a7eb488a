"""The solver of this project as an entry of the bench."""

import importlib
import json
import time

from solver.compose import plan_of
from solver.construct import construct
from solver.errors import NoPlanInTimeError
from solver.jsonio import day_document, parse_day
from solver.masks.ledger import Ledger
from solver.names import AimName
from solver.problem import Day
from solver.progress import Progress
from solver.search import solve
from tests.bench.cases import Case
from tests.bench.outcome import Moment, Outcome

LATE_SECONDS = 1.0
"""An answer later than this after the time allowed is said to be late."""


def run_ours(case: Case) -> Outcome:
    """Solve with two workers. The first plan is timed by itself, from the parsed day, without any search."""
    day = _parsed(case.day())
    # The peers load their solvers before their clocks start, so ours does too.
    importlib.import_module("solver.columns.bound")
    importlib.import_module("solver.exact.stages")
    first = _first_plan_seconds(day)
    moments: list[Moment] = []

    def note(progress: Progress) -> None:
        if progress.plan is not None:
            moment = Moment(seconds=progress.seconds, scores=dict(progress.scores), bounds=dict(progress.bounds))
            moments.append(moment)

    began = time.monotonic()
    try:
        plan = solve(day, seconds=case.seconds, workers=2, on_progress=note)
    except NoPlanInTimeError as error:
        return Outcome(note=str(error))
    seconds = time.monotonic() - began
    if plan.status == "infeasible":
        return Outcome(note=f"no plan can be: {', '.join(clash.id for clash in plan.conflict)} clash", proof=seconds)
    scores, bounds = dict(plan.scores), dict(plan.bounds)
    moments.append(Moment(seconds=seconds, scores=scores, bounds=bounds))
    return Outcome(
        scores=scores,
        bounds=bounds,
        first=first if first is not None else moments[0].seconds,
        best=_best_at(moments, scores),
        proof=seconds if plan.status == "optimal" else None,
        moments=tuple(moments),
        note=f"answered after {seconds:.0f} s" if seconds > case.seconds + LATE_SECONDS else "",
    )


def _parsed(day: Day) -> Day:
    """The day as it comes from a file, so that nothing which the generator knows is at hand."""
    return parse_day(json.dumps(day_document(day)).encode())


def _first_plan_seconds(day: Day) -> float | None:
    """None where construction alone finds no plan. A search tells of it before another order is tried."""
    seconds: list[float] = []

    def first(ledger: Ledger) -> None:
        plan_of(day, ledger.visits, ledger.breaks)
        seconds.append(time.perf_counter() - began)

    began = time.perf_counter()
    construct(day, first)
    return seconds[0] if seconds else None


def _best_at(moments: list[Moment], scores: dict[AimName, int]) -> float:
    return next(moment.seconds for moment in moments if dict(moment.scores) == scores)
