"""The option that every command with a database has."""

from typing import Annotated

import typer

from app.settings import DATA_VARIABLE, DEFAULT_DATA

Data = Annotated[
    str,
    typer.Option(
        metavar="FILE",
        envvar=DATA_VARIABLE,
        show_envvar=False,
        help=f"The clinic's database: a file, or postgresql://… ({DATA_VARIABLE} says it too).",
    ),
]
DEFAULT = DEFAULT_DATA
