"""``channelday upgrade``: an old database brought up to date."""

from app.commands.data_option import DEFAULT, Data
from app.commands.lines import say


def upgrade(data: Data = DEFAULT) -> None:
    """Bring a database of an older Channelday up to date.

    A copy of the old file is kept beside it. On a PostgreSQL server no copy is made: keep a dump of your own.

    Exit codes: 0 it is up to date; 2 it cannot be upgraded, and is as it was.
    """
    from app.services.databases import upgrade_database  # here, because loading what talks to databases takes a while

    done = upgrade_database(data)
    if done is None:
        say("The database is up to date.")
        return
    kept = "no copy was made" if done.copy is None else f"the old one is kept as {done.copy}"
    say(f"The database is upgraded from {done.old} to {done.new}; {kept}.")
