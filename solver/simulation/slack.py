"""How much later a visit would have to be told to come, so that it is seldom delayed: a suggestion, by simulation."""

from collections import Counter
from typing import NamedTuple

from solver.simulation.blocks import chances
from solver.simulation.day_run import DayRun
from solver.simulation.layout import Layout
from solver.simulation.quantiles import quantile
from solver.simulation.settings import Settings
from solver.simulation.tally import wait_before

MOST_SLACK_MIN = 60
LEAST_STEP_MIN = 5
DELAY_UNDER_MIN = 5
MOST_SLACK_VISITS = 5
"""Visits that slack is looked for, the most exposed first: each takes several hundred more runs."""
SLACK_RUNS = 200
"""Runs that each amount of slack is tried in: the first of the simulation's own."""


class SlackTask(NamedTuple):
    """``visit``: its number in the layout; ``p95``: of its delay now. ``step``: slack is a multiple of its minutes."""

    layout: Layout
    settings: Settings
    seed: int
    runs: int
    visit: int
    p95: int
    step: int


def slack_for(task: SlackTask) -> int | None:
    """Minutes of slack before the visit that keep the p95 of its delay under 5 minutes; None where 60 do not.

    With slack the visit's patient is told to come so much later, everything else stays as planned, and whoever is after
    the visit waits for it. Looked for from what the delay itself says, a step at a time: one step less is too little.
    """
    most = MOST_SLACK_MIN // task.step
    steps = min(most, max(1, -(-(task.p95 - DELAY_UNDER_MIN + 1) // task.step)))
    if _is_enough(task, steps):
        while steps > 1 and _is_enough(task, steps - 1):
            steps -= 1
        return steps * task.step
    while steps < most:
        steps += 1
        if _is_enough(task, steps):
            return steps * task.step
    return None


def _is_enough(task: SlackTask, steps: int) -> bool:
    layout, visit = task.layout, task.visit
    later = {visit: steps * task.step}
    first = layout.visits[visit].tasks[0]
    delays: Counter[int] = Counter()
    for chance in chances(layout, task.settings, task.seed, min(task.runs, SLACK_RUNS)):
        if chance.missed[visit]:
            continue
        happened = DayRun(layout, chance, task.settings.late_limit, later).run(until=first)
        if happened.begun[first] is not None:
            delays[wait_before(happened, first)] += 1
    return quantile(delays, 95) < DELAY_UNDER_MIN
