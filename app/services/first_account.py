"""The first account of a clinic: an administrator, who chooses a password at an address that works once."""

from app.db.store import Store
from app.services.accounts import accounts, has_administrator, make_account, new_password_address

FIRST_NAME = "administrator"


def first_address(store: Store, name: str = FIRST_NAME, *, actor: str = "channelday serve") -> str | None:
    """A token of that address; None where an administrator can sign in already. Older ones end."""
    if has_administrator(store):
        return None
    known = {account.name: account for account in accounts(store)}
    waiting = known.get(name) or next((one for one in known.values() if one.role == "administrator"), None)
    if waiting is not None and waiting.role == "administrator" and not waiting.is_closed:
        return new_password_address(store, waiting.id, actor=actor)
    return make_account(store, name, "administrator", actor=actor)
