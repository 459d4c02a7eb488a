"""``channelday solve``: the best plan of a day."""

from math import isfinite
from pathlib import Path
from typing import Annotated

import typer

from app.commands.files import check_output, load_day, save_plan
from app.commands.lines import say
from app.commands.progress_line import ProgressLine
from app.commands.search_thread import run_until_interrupted
from app.commands.summary import summary
from solver.progress import StopRequest
from solver.schedule import Plan

EXIT_INFEASIBLE = 3


def _seconds(seconds: float) -> float:
    if not isfinite(seconds) or seconds <= 0:
        raise typer.BadParameter(f"{seconds} is no time to search; give a number of seconds above 0")
    return seconds


def solve(
    day_file: Annotated[Path, typer.Argument(metavar="DAY.json", help="The day file.")],
    out: Annotated[Path, typer.Option(metavar="PLAN.json", help="Where to write the plan.")],
    seconds: Annotated[float, typer.Option(help="Longest time to search, above 0.", callback=_seconds)] = 20.0,
    seed: Annotated[int, typer.Option(min=0, max=2**31 - 1, help="Another seed searches in another order.")] = 0,
    workers: Annotated[int, typer.Option(min=1, max=64, help="Searches side by side; 1 repeats exactly.")] = 2,
) -> None:
    """Make the best plan of a day.

    It says who is treated when, on which unit, channels and applicators, and in whose hands. It is checked against
    every rule before it is written. Ctrl-C ends the search early and keeps the best plan found so far; a second
    Ctrl-C gives up and writes nothing.

    Example: channelday solve monday.json --out monday-plan.json

    Exit codes: 0 a plan is written; 3 the fixed visits and the breaks cannot all stand, and the file says which;
    2 a file or an option cannot be used; 1 the plan broke a rule when it was checked, and is not written.

    It schedules and records. It decides nothing clinical.
    """
    check_output(out, day_file)
    day = load_day(day_file)
    from solver.search import solve as search_plan  # here, because loading the search engine takes most of a second

    line = ProgressLine()

    def search(should_stop: StopRequest) -> Plan:
        return search_plan(
            day, seconds=seconds, seed=seed, workers=workers, on_progress=line.show, should_stop=should_stop
        )

    plan = run_until_interrupted(search, lambda: line.note("Stopping; the best plan so far is kept."))
    line.clear()
    save_plan(out, day, plan)
    for text in summary(day, plan):
        say(text)
    say(f"The plan is in {out}.")
    if plan.status == "infeasible":
        raise typer.Exit(EXIT_INFEASIBLE)
