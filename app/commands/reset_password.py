"""``channelday reset-password``: lets an account in again."""

from typing import Annotated

import typer

from app.commands.data_option import DEFAULT, Data
from app.commands.lines import say


def reset_password(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The account's name.")],
    data: Data = DEFAULT,
) -> None:
    """Give an account a way to choose a new password: the end of an address that works once, for two days.

    It goes behind the address that `channelday serve` says.

    Example: channelday reset-password administrator

    Exit codes: 0 done; 2 there is no such account, or the database cannot be used.
    """
    from app.services.accounts import account_id, new_password_address
    from app.services.databases import open_database

    store = open_database(data)
    try:
        token = new_password_address(store, account_id(store, name), actor="channelday reset-password")
    finally:
        store.close()
    say(f"/once/{token}")
