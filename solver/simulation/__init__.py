"""How a planned day stands up to chance: simulated many times in SimPy, and counted."""

from collections.abc import Callable

from solver.problem import Day
from solver.schedule import Plan
from solver.simulation.figures import Simulation
from solver.simulation.settings import Settings
from solver.simulation.steps import MEANING, Simulated, Step, most_steps, steps

MOST_RUNS = 100_000

OnProgress = Callable[[int, int], None]


def simulate(
    day: Day,
    plan: Plan,
    settings: Settings,
    *,
    runs: int,
    seed: int,
    workers: int = 1,
    on_progress: OnProgress = lambda done, of: None,
) -> Simulation:
    """What becomes of the plan in so many runs (1 to MOST_RUNS), in as many processes as there are workers.

    The same day, plan, settings, runs and seed give the same result, whatever the workers. ``on_progress`` is told how
    many pieces of the work are done, and of how many that are known of.
    Raises InputError with a fault for each broken rule where the plan is not right for the day, and where it is
    infeasible, so that it places nobody; SimulationBrokenError where a process ends before its work is done.
    """
    last: Step | None = None
    for step in steps(day, plan, settings, runs=runs, seed=seed, workers=workers):
        on_progress(step.done, step.of)
        last = step
    assert last is not None, "there is at least one run"
    return last.found.figures


__all__ = ["MEANING", "MOST_RUNS", "Settings", "Simulated", "Simulation", "Step", "most_steps", "simulate", "steps"]
