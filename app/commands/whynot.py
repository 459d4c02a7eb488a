"""``channelday whynot``: why a visit cannot start at a wished time."""

from pathlib import Path
from typing import Annotated

import typer

from app.commands.files import check_output, load_question
from app.commands.lines import say
from solver.clock import DAY_MIN, clock, parse_clock
from solver.jsonio import whynot_document, write_json
from solver.whynot import whynot_in


def _minute(text: str) -> int:
    minute = parse_clock(text)
    if minute is None or minute == DAY_MIN:
        raise typer.BadParameter(f"{text!r} is no time to start at; give HH:MM from 00:00 to 23:59")
    return minute


def whynot(
    day_file: Annotated[Path, typer.Argument(metavar="DAY.json", help="The day file.")],
    plan_file: Annotated[Path, typer.Argument(metavar="PLAN.json", help="A right plan of that day.")],
    visit_file: Annotated[Path, typer.Argument(metavar="VISIT.json", help="One visit, written as in a day file.")],
    at: Annotated[int, typer.Option(metavar="HH:MM", help="The wished start.", parser=_minute)],
    out: Annotated[Path, typer.Option(metavar="WHY.json", help="Where to write the answer.")],
) -> None:
    """Say why a visit cannot start at a wished time.

    Each rule in the way is told with the resource, which visits hold it and from when to when, and the nearest starts
    that can be had are given.

    Example: channelday whynot monday.json monday-plan.json visit.json --at 10:30 --out why.json

    Exit codes: 0 the answer is written, whether the visit fits or not; 2 a file or an option cannot be used, or the
    plan breaks a rule.
    """
    check_output(out, day_file, plan_file, visit_file)
    loaded, visit = load_question(day_file, plan_file, visit_file)
    answer = whynot_in(loaded, visit, at)
    write_json(out, whynot_document(answer))
    say(f"It fits at {clock(at)}." if answer.fits else f"It does not fit at {clock(at)}:")
    for each in answer.reasons:
        say(f"  {each.rule}: {each.text}")
    say(f"The answer is in {out}.")
