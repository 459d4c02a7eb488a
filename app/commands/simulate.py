"""``channelday simulate``: how a plan stands up to chance."""

import time
from pathlib import Path
from typing import Annotated

import typer

from app.commands.files import check_output, load_day, load_plan, named
from app.commands.lines import say, warn
from app.commands.progress_line import ProgressLine
from app.commands.search_thread import EXIT_INTERRUPTED
from solver.jsonio import write_json

QUIET_SECONDS = 1.0


def simulate(
    day_file: Annotated[Path, typer.Argument(metavar="DAY.json", help="The day file.")],
    plan_file: Annotated[Path, typer.Argument(metavar="PLAN.json", help="A right plan of that day.")],
    out: Annotated[Path, typer.Option(metavar="SIM.json", help="Where to write the result.")],
    runs: Annotated[int, typer.Option(min=1, max=100_000, help="How often the day is run.")] = 1_000,
    seed: Annotated[int, typer.Option(min=0, max=2**31 - 1, help="The same seed gives the same result.")] = 0,
    workers: Annotated[int, typer.Option(min=1, max=64, help="Processes; the result is the same for any.")] = 2,
    late_share: Annotated[float, typer.Option(help="Share of patients who come late (Williams 2014).")] = 0.077,
    late_mean: Annotated[float, typer.Option(help="Mean minutes by which they are late (Williams 2014).")] = 20.5,
    missed_share: Annotated[
        float, typer.Option(help="Share of missed visits (English outpatients 2013/14; sources differ widely).")
    ] = 0.069,
    overrun_share: Annotated[float, typer.Option(help="Share of hands-on phases that take longer: your own.")] = 0.0,
    overrun_mean: Annotated[float, typer.Option(help="Mean minutes by which they take longer: your own.")] = 0.0,
    late_limit: Annotated[
        int, typer.Option(help="Minutes from which a late patient counts as missed, 0 for never: your own.")
    ] = 0,
) -> None:
    """Run a planned day many times with late and missing patients.

    It says how often patients wait and how long, how often watch is short, how late the day ends, which visits are
    most exposed, and how much slack before them would help. The plan is not changed.

    Example: channelday simulate monday.json monday-plan.json --out monday-simulation.json

    Exit codes: 0 the result is written; 1 one of its processes was ended from outside; 2 a file or an option cannot be
    used, or the plan breaks a rule; 130 it was ended by Ctrl-C. Nothing is written but with 0.
    """
    check_output(out, day_file, plan_file)
    from solver.simulation import Settings  # here, because no other command needs it
    from solver.simulation import simulate as run_often

    settings = Settings(
        late_share=late_share,
        late_mean=late_mean,
        missed_share=missed_share,
        overrun_share=overrun_share,
        overrun_mean=overrun_mean,
        late_limit=late_limit,
    )
    day = load_day(day_file)
    plan = load_plan(plan_file)
    line, began = ProgressLine(), time.monotonic()

    def show(done: int, of: int) -> None:
        seconds = time.monotonic() - began
        if seconds > QUIET_SECONDS:
            line.show_text(f"{seconds:.1f} s · {done} of {of} pieces done")

    try:
        with named(plan_file):
            result = run_often(day, plan, settings, runs=runs, seed=seed, workers=workers, on_progress=show)
    except KeyboardInterrupt:
        line.clear()
        warn("Stopped; nothing is written.")
        raise typer.Exit(EXIT_INTERRUPTED) from None
    line.clear()
    write_json(out, result)
    wait, finish = result["wait"], result["finish"]
    say(f"{runs} runs: {wait['share']:.1%} of the visits wait, {wait['mean_min']:.1f} minutes on the average.")
    say(f"The day ends later than planned in {finish['late_share']:.1%} of them.")
    say(f"The simulation is in {out}.")
