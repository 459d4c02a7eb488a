"""A simulation a piece of the work at a time, so that whoever asked sees how far it is and can leave it at any."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass

from solver.problem import Day
from solver.right_plan import refuse_if_wrong
from solver.schedule import Plan
from solver.simulation.blocks import BLOCK_RUNS, blocks, each, pool_of, run_block
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

MEANING = (
    "The day is run as planned by a plain rule: whoever is next in the plan is next, nobody is overtaken and nothing "
    "is planned anew. A clinic that changes its order on the day does better.",
    "Patients who come early begin no earlier than planned. Batteries are not followed.",
    "A slack is a suggestion, tried for one visit at a time; it changes nothing in the plan.",
)


@dataclass(frozen=True, slots=True)
class Simulated:
    """``figures``: as the file has them. The others are how often each number of minutes came up.

    ``waits``: of each visit that took place; ``short``: minutes of a run with too little watch; ``finish``: the end of
    a run's last phase, from midnight.
    """

    figures: Simulation
    waits: Counter[int]
    short: Counter[int]
    finish: Counter[int]


@dataclass(frozen=True, slots=True)
class Step:
    """``done`` pieces of the work, ``of`` those that are known of; ``found``: by the runs until then."""

    done: int
    of: int
    found: Simulated


def most_steps(runs: int) -> int:
    """So many pieces of work, or fewer where fewer visits need slack."""
    return -(-runs // BLOCK_RUNS) + MOST_SLACK_VISITS


def steps(day: Day, plan: Plan, settings: Settings, *, runs: int, seed: int, workers: int = 1) -> Iterator[Step]:
    """What becomes of the plan, as ``simulate`` says, after each block of runs and each visit that slack was found for.

    What was found by the first blocks is what a simulation of so few runs finds. Its ``slack`` has the visits that it
    was looked for until then. Raises as ``simulate`` does, before the first step.
    """
    refuse_if_wrong(day, plan)
    layout = lay_out(day, plan)
    tasks = blocks(layout, settings, seed, runs)
    with pool_of(min(workers, len(tasks))) as pool:
        tally, slack = Tally(), dict[int, int | None]()
        for done, block in enumerate(each(pool, run_block, tasks), start=1):
            tally.add(block)
            if done < len(tasks):
                yield Step(done, len(tasks), _simulated(day, layout, settings, seed, tally, slack))
        exposed = most_exposed(tally)[:MOST_SLACK_VISITS]
        wanting = _wanting(day, layout, settings, seed, tally, exposed)
        sought = {task.visit for task in wanting}
        slack.update((number, 0) for number in exposed if number not in sought)
        of = len(tasks) + len(wanting)
        yield Step(len(tasks), of, _simulated(day, layout, settings, seed, tally, slack))
        for done, (task, minutes) in enumerate(zip(wanting, each(pool, slack_for, wanting), strict=True), start=1):
            slack[task.visit] = minutes
            yield Step(len(tasks) + done, of, _simulated(day, layout, settings, seed, tally, slack))


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


def _simulated(
    day: Day, layout: Layout, settings: Settings, seed: int, tally: Tally, slack: Mapping[int, int | None]
) -> Simulated:
    exposed = most_exposed(tally)
    figures: Simulation = {
        "format": "channelday-simulation/1",
        "date": day.date.isoformat(),
        "runs": tally.runs,
        "seed": seed,
        "settings": asdict(settings),
        "text": [*MEANING, *SOURCES],
        "wait": wait_figures(tally),
        "watch_short": watch_figures(tally),
        "finish": finish_figures(layout, tally),
        "overtime": overtime_figures(layout, tally),
        "missed": missed_figures(layout, tally),
        "exposed": exposed_figures(layout, tally, exposed),
        "slack": [{"visit": layout.visits[number].id, "min": slack[number]} for number in exposed if number in slack],
    }
    return Simulated(figures, Counter(tally.waits), Counter(tally.short), Counter(tally.finish))
