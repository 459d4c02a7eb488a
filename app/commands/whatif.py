"""``channelday whatif``: what one more, or one less, of each thing is worth on a day."""

from math import isfinite
from pathlib import Path
from typing import Annotated

import typer

from app.commands.files import check_output, load_day
from app.commands.lines import say, warn
from app.commands.progress_line import ProgressLine
from app.commands.search_thread import EXIT_INTERRUPTED
from solver.jsonio import write_json
from solver.whatif import whatif as compare

EXIT_INFEASIBLE = 3


def _seconds(seconds: float) -> float:
    if not isfinite(seconds) or seconds <= 0:
        raise typer.BadParameter(f"{seconds} is no time to search; give a number of seconds above 0")
    return seconds


def whatif(
    day_file: Annotated[Path, typer.Argument(metavar="DAY.json", help="The day file.")],
    out: Annotated[Path, typer.Option(metavar="WHATIF.json", help="Where to write the comparison.")],
    seconds: Annotated[float, typer.Option(help="Longest time for each search, above 0.", callback=_seconds)] = 20.0,
    seed: Annotated[int, typer.Option(min=0, max=2**31 - 1, help="Another seed searches in another order.")] = 0,
    workers: Annotated[int, typer.Option(min=1, max=64, help="Searches side by side, each in a process.")] = 2,
) -> None:
    """Say what one more, or one less, of each thing is worth.

    The day is planned again with one more of each unit, channel, item, bay and therapist hour, and without each unit,
    for which visits that are fixed to it are freed.
    Each is searched for the same time and compared by the first aim that differs: proved, at least so much, or open.

    Example: channelday whatif monday.json --out monday-whatif.json --seconds 10

    Exit codes: 0 the comparison is written; 3 the day itself has no plan; 2 a file or an option cannot be used;
    1 time was up before there was a plan of the day itself; 130 ended by Ctrl-C. Only with 0 is anything written.
    """
    check_output(out, day_file)
    day = load_day(day_file)
    line = ProgressLine()
    try:
        found = compare(
            day,
            seconds=seconds,
            seed=seed,
            workers=workers,
            told=lambda done, of: line.show_text(f"{done} of {of} days planned"),
        )
    except KeyboardInterrupt:
        line.clear()
        warn("Ended by Ctrl-C; nothing is written.")
        raise typer.Exit(EXIT_INTERRUPTED) from None
    line.clear()
    if found is None:
        warn("The day itself has no plan: what is fixed cannot all stand. channelday solve says what.")
        raise typer.Exit(EXIT_INFEASIBLE)
    write_json(out, found)
    for row in found["variants"]:
        what = f"{row['kind']} {row['of']}"
        gain = "nothing" if row["aim"] is None else f"{row['aim']} {row['gain']:+}"
        say(f"{what}: no plan ({row['status']})" if row["verdict"] == "no plan" else f"{what}: {row['verdict']} {gain}")
    say(f"The comparison is in {out}.")
