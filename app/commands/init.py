"""``channelday init``: a new clinic's database."""

from typing import Annotated

import typer

from app.clock import machine_zone
from app.commands.data_option import DEFAULT, Data
from app.commands.lines import say


def init(
    data: Data = DEFAULT,
    name: Annotated[str, typer.Option(metavar="NAME", help="What the clinic is called.")] = "Our clinic",
    zone: Annotated[
        str, typer.Option(metavar="ZONE", help="Its time zone, such as Europe/Dublin; else this machine's.")
    ] = "",
) -> None:
    """Make an empty database for a clinic.

    Example: channelday init --name "Our clinic" --zone Europe/Dublin

    Exit codes: 0 it is made; 2 it cannot be made, and nothing is left behind.
    """
    from app.services.databases import make_database  # here, because loading what talks to databases takes a while

    zone = zone or machine_zone()
    make_database(data, name, zone)
    say(f"{name} has its database, in the time zone {zone}. Serve it with: channelday serve")
