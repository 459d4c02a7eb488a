"""``channelday check``: is all well with the clinic's database?"""

import typer

from app.commands.data_option import DEFAULT, Data
from app.commands.lines import say


def check(data: Data = DEFAULT) -> None:
    """Check the clinic's database, and each plan from today on against every rule.

    Standard output has one line for each fault, or one that says what was checked.

    Exit codes: 0 all is well; 1 there is a fault; 2 the database cannot be used.
    """
    from app.services.checking import check_database  # here, because loading what talks to databases takes a while

    done = check_database(data)
    for line in done.faults:
        say(line)
    if done.faults:
        raise typer.Exit(1)
    say(f"All is well: the database, its tables, and {done.plans} plans of {done.days} days from {done.since} on.")
