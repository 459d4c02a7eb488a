"""How a planned day stands up to chance: simulated many times in SimPy, and counted."""

from collections.abc import Callable, Sequence
from dataclasses import asdict

from solver.problem import Day
from solver.right_plan import refuse_if_wrong
from solver.schedule import Plan
from solver.simulation.blocks import blocks, each, pool_of, run_block
from solver.simulation.counted import (
    exposed_figures,
    finish_figures,
    missed_figures,
    most_exposed,
    overtime_figures,
    wait_figures,
    watch_figures,
)
from solver.simulation.figures import Simulation
from solver.simulation.lay_out import lay_out
from solver.simulation.layout import Layout
from solver.simulation.quantiles import quantile
from solver.simulation.settings import SOURCES, Settings
from solver.simulation.slack import DELAY_UNDER_MIN, LEAST_STEP_MIN, MOST_SLACK_VISITS, SlackTask, slack_for
from solver.simulation.tally import Tally

MOST_RUNS = 100_000
MEANING = (
    "The day is run as planned by a plain rule: whoever is next in the plan is next, nobody is overtaken and nothing "
    "is planned anew. A clinic that changes its order on the day does better.",
    "Patients who come early begin no earlier than planned. Batteries are not followed.",
    "A slack is a suggestion, tried for one visit at a time; it changes nothing in the plan.",
)

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
    refuse_if_wrong(day, plan)
    layout = lay_out(day, plan)
    tasks = blocks(layout, settings, seed, runs)
    with pool_of(min(workers, len(tasks))) as pool:
        progress = _Progress(on_progress, len(tasks))
        tally = Tally()
        for block in each(pool, run_block, tasks, progress.step):
            tally.add(block)
        exposed = most_exposed(tally)
        wanting = _wanting(day, layout, settings, seed, tally, exposed[:MOST_SLACK_VISITS])
        progress.more(len(wanting))
        found = each(pool, slack_for, wanting, progress.step)
    slack = {task.visit: minutes for task, minutes in zip(wanting, found, strict=True)}
    return {
        "format": "channelday-simulation/1",
        "date": day.date.isoformat(),
        "runs": runs,
        "seed": seed,
        "settings": asdict(settings),
        "text": [*MEANING, *SOURCES],
        "wait": wait_figures(tally),
        "watch_short": watch_figures(tally),
        "finish": finish_figures(layout, tally),
        "overtime": overtime_figures(layout, tally),
        "missed": missed_figures(layout, tally),
        "exposed": exposed_figures(layout, tally, exposed),
        "slack": [
            {"visit": layout.visits[number].id, "min": slack.get(number, 0)} for number in exposed[:MOST_SLACK_VISITS]
        ],
    }


def _wanting(
    day: Day, layout: Layout, settings: Settings, seed: int, tally: Tally, visits: Sequence[int]
) -> list[SlackTask]:
    """The tasks of finding slack for those of the visits, by number, that have too little."""
    step = max(day.step_min, LEAST_STEP_MIN)
    p95 = {number: quantile(tally.delays[number], 95) for number in visits}
    return [
        SlackTask(layout, settings, seed, tally.runs, number, delay, step)
        for number, delay in p95.items()
        if delay >= DELAY_UNDER_MIN
    ]


class _Progress:
    def __init__(self, tell: OnProgress, of: int) -> None:
        self._tell, self._done, self._of = tell, 0, of

    def step(self) -> None:
        self._done += 1
        self._tell(self._done, self._of)

    def more(self, pieces: int) -> None:
        self._of += pieces


__all__ = ["MOST_RUNS", "Settings", "Simulation", "simulate"]
