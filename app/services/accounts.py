"""Accounts: made, changed, closed, and let in again by an address that works once. Each change is in the audit.

There is no default password anywhere: an account begins without one, and whoever has its first address sets one.
"""

import re
from dataclasses import dataclass
from datetime import timedelta

from sqlmodel import Session

from app.db.store import Store
from app.models import Account, OneTimeAddress, Staff
from app.models.columns import now
from app.queries.accounts import (
    account_named,
    accounts_of,
    end_addresses,
    end_sessions,
    open_administrators,
)
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic
from app.queries.codes import ids_of
from app.queries.staff import staff_names
from app.roles import ROLES
from app.services.tokens import hash_of_token, new_token
from solver.errors import Fault, InputError

_NAME = re.compile(r"[^\W_](?:[\w.'’-]|[ ](?=\S)){0,39}")
ADDRESS_LASTS = timedelta(hours=48)


@dataclass(frozen=True, slots=True)
class AccountLine:
    """An account as it is listed. ``staff``: the code of the staff member it is for, or empty."""

    id: int
    name: str
    role: str
    staff: str
    has_password: bool
    is_closed: bool


def accounts(store: Store) -> list[AccountLine]:
    """Every account by name."""
    with store.reading() as session:
        clinic_id = the_clinic(session).id or 0
        codes = {id: code for code, id in ids_of(session, Staff, clinic_id).items()}
        return [_line(row, codes) for row in accounts_of(session, clinic_id)]


def staff_choices(store: Store) -> dict[str, str]:
    """Whom of the staff an account can be for: names by code."""
    with store.reading() as session:
        return staff_names(session, the_clinic(session).id or 0)


def make_account(store: Store, name: str, role: str, staff: str = "", *, actor: str) -> str:
    """Make an account without a password; the token of the address at which one is set.

    ``staff``: the code of the staff member it is for. Raises InputError with a fault for each thing that is wrong.
    """
    with store.writing() as session:
        clinic_id = _clinic_id(session)
        faults = []
        if not _NAME.fullmatch(name):
            right = "give 1 to 40 letters, digits, spaces, dots, hyphens or apostrophes, a letter or digit first"
            faults.append(Fault("name", f"{name[:60]!r} cannot be the name of an account", right))
        elif account_named(session, clinic_id, name) is not None:
            faults.append(Fault("name", f"there is an account named {name}", "give another name"))
        faults += _faults_of_role(session, clinic_id, role, staff)
        if faults:
            raise InputError(faults)
        row = Account(clinic_id=clinic_id, name=name, role=role, made_at=now(), staff_id=_staff(session, staff))
        session.add(row)
        session.flush()
        after = {"role": role, **({"staff": staff} if staff else {})}
        add_audit(session, clinic_id, actor, "made", f"account {name}", after=after)
        return _address(session, row, "password")


def change_account(store: Store, id: int, role: str, staff: str, *, actor: str) -> None:
    """Give the account another role or another of the staff. Its sessions end, so that the new role holds at once.

    Raises InputError; the last administrator who can sign in stays one.
    """
    with store.writing() as session:
        row = _account(session, id)
        faults = _faults_of_role(session, row.clinic_id, role, staff)
        if role != row.role:
            faults += _faults_of_last(session, row)
        if faults:
            raise InputError(faults)
        codes = {id: code for code, id in ids_of(session, Staff, row.clinic_id).items()}
        before = {"role": row.role, "staff": codes.get(row.staff_id or 0, "")}
        row.role, row.staff_id = role, _staff(session, staff)
        if before != {"role": role, "staff": staff}:
            end_sessions(session, id)
            after = {"role": role, "staff": staff}
            add_audit(session, row.clinic_id, actor, "changed", f"account {row.name}", before=before, after=after)


def close_account(store: Store, id: int, *, actor: str) -> None:
    """Nobody signs in with it any more; its name stays in the audit. Raises InputError for the last administrator."""
    with store.writing() as session:
        row = _account(session, id)
        faults = _faults_of_last(session, row)
        if faults:
            raise InputError(faults)
        row.is_closed = True
        end_sessions(session, id)
        end_addresses(session, id)
        add_audit(session, row.clinic_id, actor, "closed", f"account {row.name}")


def open_account_again(store: Store, id: int, *, actor: str) -> None:
    with store.writing() as session:
        row = _account(session, id)
        row.is_closed = False
        add_audit(session, row.clinic_id, actor, "opened again", f"account {row.name}")


def new_password_address(store: Store, id: int, *, actor: str) -> str:
    """The token of an address at which the account's password can be set once. Its older addresses end; its password
    and its sessions stay until then. Raises InputError where the account is closed."""
    with store.writing() as session:
        row = _account(session, id)
        if row.is_closed:
            raise InputError([Fault("account", f"{row.name} is closed", "open it again first")])
        add_audit(session, row.clinic_id, actor, "gave a one-time address for", f"account {row.name}")
        return _address(session, row, "password")


def new_sign_in_address(store: Store, name: str, *, actor: str) -> str:
    """The token of an address that signs the account in once. Raises InputError where there is no such account."""
    with store.writing() as session:
        row = account_named(session, _clinic_id(session), name)
        if row is None or row.is_closed:
            raise InputError([Fault("name", f"there is no open account named {name}", "name one that there is")])
        add_audit(session, row.clinic_id, actor, "gave a one-time address for", f"account {name}")
        return _address(session, row, "sign-in")


def account_id(store: Store, name: str) -> int:
    """The id of the account of the name. Raises InputError where there is none."""
    with store.reading() as session:
        row = account_named(session, the_clinic(session).id or 0, name)
        if row is None or row.id is None:
            raise InputError([Fault("name", f"there is no account named {name}", "name one that there is")])
        return row.id


def has_administrator(store: Store) -> bool:
    """True where an administrator can sign in."""
    with store.reading() as session:
        return open_administrators(session, the_clinic(session).id or 0) > 0


def _line(row: Account, codes: dict[int, str]) -> AccountLine:
    staff = codes.get(row.staff_id or 0, "")
    return AccountLine(row.id or 0, row.name, row.role, staff, row.password_hash is not None, row.is_closed)


def _clinic_id(session: Session) -> int:
    clinic = the_clinic(session, to_write=True)
    assert clinic.id is not None
    return clinic.id


def _account(session: Session, id: int) -> Account:
    clinic_id = _clinic_id(session)
    row = session.get(Account, id)
    if row is None or row.clinic_id != clinic_id:
        raise InputError([Fault("account", f"there is no account {id}", "choose one of the list")])
    return row


def _faults_of_role(session: Session, clinic_id: int, role: str, staff: str) -> list[Fault]:
    faults = []
    if role not in ROLES:
        faults.append(Fault("role", f"{role[:40]!r} is no role", f"choose one of {', '.join(ROLES)}"))
    if staff and staff not in ids_of(session, Staff, clinic_id):
        faults.append(Fault("staff", f"{staff[:40]!r} is nobody of the staff", "choose one of the list"))
    return faults


def _faults_of_last(session: Session, row: Account) -> list[Fault]:
    usable = row.role == "administrator" and not row.is_closed and row.password_hash is not None
    if usable and open_administrators(session, row.clinic_id) == 1:
        what = f"{row.name} is the last administrator who can sign in"
        return [Fault("account", what, "let another administrator set a password first")]
    return []


def _staff(session: Session, code: str) -> int | None:
    return ids_of(session, Staff, _clinic_id(session)).get(code) if code else None


def _address(session: Session, row: Account, purpose: str) -> str:
    assert row.id is not None
    end_addresses(session, row.id)
    token = new_token()
    ends_at = now() + ADDRESS_LASTS
    session.add(OneTimeAddress(token_hash=hash_of_token(token), account_id=row.id, purpose=purpose, ends_at=ends_at))
    return token
