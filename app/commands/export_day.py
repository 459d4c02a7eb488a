"""``channelday export-day``: a day of the clinic's database as a day file."""

from pathlib import Path
from typing import Annotated

import typer

from app.commands.data_option import DEFAULT, Data
from app.commands.dates import date_given
from app.commands.files import check_output
from app.commands.lines import say
from solver.errors import Fault, InputError
from solver.jsonio import day_document, plan_document, write_json


def export_day(
    on: Annotated[str, typer.Argument(metavar="DATE", help="The date, such as 2031-03-04.")],
    out: Annotated[Path, typer.Option(metavar="DAY.json", help="Where to write the day.")],
    plan_out: Annotated[Path | None, typer.Option(metavar="PLAN.json", help="Where to write its plan.")] = None,
    data: Data = DEFAULT,
) -> None:
    """Write a day of the clinic's database as a day file.

    A day that was brought in comes out as the same file. One that nobody has booked yet is made of what the clinic
    has set up: weekly hours, absences, closures, units out of service.

    Example: channelday export-day 2031-03-04 --out monday.json --plan-out monday-plan.json

    Exit codes: 0 it is written; 2 there is no such day or plan, or a file or the database cannot be used.
    """
    from app.services.databases import open_database  # here, because loading what talks to databases takes a while
    from app.services.days import kept_day, new_day

    wanted = date_given(on)
    check_output(out)
    if plan_out is not None:
        check_output(plan_out, out)
    store = open_database(data)
    try:
        kept = kept_day(store, wanted)
        day = new_day(store, wanted) if kept is None else kept.day
    finally:
        store.close()
    if day is None:
        right = "give a date that was brought in, or on which the clinic is open"
        raise InputError([Fault("DATE", f"there is no day {wanted} in the database", right)])
    if plan_out is not None:
        if kept is None or kept.plan is None:
            raise InputError([Fault("--plan-out", f"{wanted} has no plan yet", "leave the option out")])
        write_json(plan_out, plan_document(kept.plan))
    write_json(out, day_document(day))
    which = "not booked yet" if kept is None else f"version {kept.version}"
    say(f"{wanted}, {which}, is in {out}." if plan_out is None else f"{wanted}, {which}, is in {out} and {plan_out}.")
