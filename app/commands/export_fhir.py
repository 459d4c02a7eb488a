"""``channelday export-fhir``: a day as FHIR resources."""

from pathlib import Path
from typing import Annotated

import typer

from app.commands.data_option import DEFAULT, Data
from app.commands.dates import date_given
from app.commands.files import check_output
from app.commands.lines import say
from solver.jsonio import write_json


def export_fhir(
    on: Annotated[str, typer.Argument(metavar="DATE", help="The date, such as 2031-03-04.")],
    out: Annotated[Path, typer.Option(metavar="FHIR.json", help="Where to write the bundle.")],
    data: Data = DEFAULT,
) -> None:
    """Write a planned day as one FHIR R4B bundle: appointments, slots, devices, what was asked for and was given.

    It names patients and staff: keep the file as such files are to be kept.

    Example: channelday export-fhir 2031-03-04 --out monday-fhir.json

    Exit codes: 0 it is written; 2 there is no such plan, or the file or the database cannot be used.
    """
    # Here, because loading what talks to databases takes a while.
    from app.services.databases import open_database
    from app.services.day_room import DayRoom
    from app.services.fhir.export import bundle_of_day
    from app.services.floor.room import FloorRoom

    wanted = date_given(on)
    check_output(out)
    store = open_database(data)
    try:
        bundle = bundle_of_day(store, FloorRoom(store, DayRoom(store)), wanted)
    finally:
        store.close()
    write_json(out, bundle)
    say(f"{wanted} is in {out}. It names patients.")
