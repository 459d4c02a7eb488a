"""``channelday restore``: a backup brought back."""

from pathlib import Path
from typing import Annotated

import typer

from app.commands.data_option import DEFAULT, Data
from app.commands.lines import say


def restore(
    copy: Annotated[Path, typer.Argument(metavar="COPY", help="A backup, or another copy of a clinic's database.")],
    data: Data = DEFAULT,
) -> None:
    """Put a backup in the place of the clinic's database.

    What the database held is kept beside it. A copy of an older Channelday is upgraded; the copy itself stays as it is.
    Nobody else may have the database open meanwhile: stop the server first.

    Example: channelday restore backups/channelday-2031-03-04-090000+0000.backup

    Exit codes: 0 it is restored; 2 the copy or the database cannot be used, and the database is as it was.
    """
    from app.services.restoring import restore_database  # here, because loading what talks to databases takes a while

    done = restore_database(copy, data)
    upgraded = "" if done.upgraded_from is None else f", upgraded from {done.upgraded_from}"
    kept = "" if done.kept is None else f" What it held before is kept as {done.kept}."
    say(f"{data} is restored from {copy}{upgraded}.{kept}")
