"""``channelday import-day``: a day file into the clinic's database."""

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from app.commands.data_option import DEFAULT, Data
from app.commands.files import load_day, load_plan
from app.commands.lines import say
from solver.errors import Fault, InputError, PlanRefusedError


def import_day(
    day_file: Annotated[Path, typer.Argument(metavar="DAY.json", help="The day file.")],
    plan: Annotated[Path | None, typer.Option(metavar="PLAN.json", help="A plan of that day.")] = None,
    data: Data = DEFAULT,
) -> None:
    """Bring a day into the clinic's database.

    Where the date is there already the file takes its place; the plan that is kept, or the one that is given, must
    keep every rule of the new day, or nothing is changed.

    Example: channelday import-day monday.json --plan monday-plan.json

    Exit codes: 0 the day is kept; 2 a file or the database cannot be used, or the plan breaks a rule.
    """
    from app.services.databases import open_database  # here, because loading what talks to databases takes a while
    from app.services.days import kept_day, save_day

    day = load_day(day_file)
    given = None if plan is None else load_plan(plan)
    store = open_database(data)
    try:
        kept = kept_day(store, day.date)
        if given is None and kept is not None and kept.plan is not None and kept.day != day:
            # Of another day nothing is proved yet.
            given = replace(kept.plan, status="feasible", bounds=dict.fromkeys(day.aims, 0))
        planned = given is not None or (kept is not None and kept.plan is not None)
        read = 0 if kept is None else kept.version
        version = save_day(store, day, given, read=read, actor="channelday import-day")
    except PlanRefusedError as error:
        of = "the plan that is kept" if plan is None else str(plan)
        right = f"give a plan that fits the day ({of} does not)"
        raise InputError(Fault("plan", line, right) for line in error.lines) from None
    finally:
        store.close()
    if version == read:
        say(f"{day.date} is as it was, version {version}.")
    else:
        say(f"{day.date} is kept as version {version}, {'with a plan' if planned else 'without a plan'}.")
