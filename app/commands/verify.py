"""``channelday verify``: is this plan right for this day?"""

from pathlib import Path
from typing import Annotated

import typer

from app.commands.files import load_day, load_plan
from app.commands.lines import say, warn
from solver.errors import InputError, UnreadableError
from solver.verify import verify as broken_rules


def verify(
    day_file: Annotated[Path, typer.Argument(metavar="DAY.json", help="The day file.")],
    plan_file: Annotated[Path, typer.Argument(metavar="PLAN.json", help="The plan file to judge.")],
) -> None:
    """Say whether a plan keeps every rule of its day.

    Standard output holds one line for each broken rule, the rule's name and what breaks it, and nothing else.

    Example: channelday verify monday.json monday-plan.json

    Exit codes: 0 every rule is kept; 1 a rule is broken; 2 a file cannot be used.
    """
    day = load_day(day_file)
    try:
        plan = load_plan(plan_file)
    except UnreadableError:
        raise
    except InputError as error:
        for fault in error.faults:
            say(f"shape: {fault}")
        raise typer.Exit(1) from None
    breaches = broken_rules(day, plan)
    for breach in breaches:
        say(str(breach))
    if breaches:
        raise typer.Exit(1)
    warn("Every rule is kept, and the scores are right.")
