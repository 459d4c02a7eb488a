"""``channelday backup``: a copy of the clinic's database."""

from pathlib import Path
from typing import Annotated

import typer

from app.commands.data_option import DEFAULT, Data
from app.commands.lines import say


def backup(
    to: Annotated[Path, typer.Option(metavar="FOLDER", help="The folder of the backups; it must be there.")],
    keep: Annotated[int, typer.Option(min=1, metavar="COUNT", help="How many of them are kept.")] = 14,
    if_due: Annotated[bool, typer.Option("--if-due", help="Do nothing where today has one already.")] = False,
    data: Data = DEFAULT,
) -> None:
    """Copy the clinic's database into a folder, also while it is in use.

    The copy is consistent, checked, readable by its owner only, and named by date and time. Older backups of this
    database beyond those to keep are removed; no other file is. A PostgreSQL server has tools of its own: pg_dump.

    Example, for each hour of a crontab: channelday backup --if-due --to backups

    Exit codes: 0 it is made, or was not due; 2 it cannot be made, and nothing was removed.
    """
    from app.services.backups import due_backup, make_backup  # here, because loading databases takes a while

    done = (due_backup if if_due else make_backup)(data, to, keep)
    if done is None:
        say("Today has a backup already.")
        return
    removed = f"; removed {done.removed} older" if done.removed else ""
    say(f"The backup is {done.path}{removed}.")
