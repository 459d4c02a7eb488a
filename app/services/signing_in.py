"""Signing in and out: sessions on the server, throttled, ended by a change of the password."""

from dataclasses import dataclass
from datetime import timedelta

from limits import RateLimitItemPerHour, RateLimitItemPerMinute
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter
from sqlmodel import Session

from app.db.store import Store
from app.models import Account, AccountSession, Clinic, Staff
from app.models.columns import now
from app.queries.accounts import (
    account_named,
    address_of,
    end_addresses,
    end_old_sessions,
    end_session,
    end_sessions,
    session_of,
)
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic
from app.roles import Role
from app.services import passwords
from app.services.tokens import hash_of_token, new_token
from solver.errors import Fault, InputError

LASTS = timedelta(hours=14)
"""From signing in to the end of the session, whatever happens: a working day, and not two."""
IDLE = timedelta(hours=4)
_SEEN_AGAIN = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class SignedIn:
    """Who a request comes from. ``staff``: the code of the staff member the account is for, or empty."""

    id: int
    name: str
    role: Role
    staff: str = ""


@dataclass(frozen=True, slots=True)
class OneTime:
    """What an address that works once is for: ``sign-in`` or ``password``, and whose."""

    purpose: str
    name: str


class SigningIn:
    """Lets people in. Failed tries are counted in this process: by name and by where they come from."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._limiter = MovingWindowRateLimiter(MemoryStorage())
        self._few = RateLimitItemPerMinute(5, 5)
        self._many = RateLimitItemPerHour(60)

    def sign_in(self, name: str, password: str, whence: str) -> str:
        """The token of a new session.

        Raises InputError where name and password are not of an open account, without saying which is wrong, or where
        too many tries failed: five in five minutes for a name from one place, sixty in an hour for a name or a place.
        """
        keys = ((self._few, "pair", name, whence), (self._many, "name", name), (self._many, "place", whence))
        if not all(self._limiter.test(limit, *key) for limit, *key in keys):
            raise InputError([Fault("sign-in", "too many tries failed", "wait five minutes and try again")])
        with self._store.reading() as session:
            row = account_named(session, the_clinic(session).id or 0, name)
            known = None if row is None or row.is_closed else row.password_hash
        # Outside the transaction: it takes a while on purpose.
        if not passwords.matches(password[: passwords.MOST + 1], known):
            for limit, *key in keys:
                self._limiter.hit(limit, *key)
            raise InputError([Fault("sign-in", "that name and password do not belong together", "try again")])
        with self._store.writing() as session:
            clinic = the_clinic(session, to_write=True)
            row = account_named(session, clinic.id or 0, name)
            if row is None or row.is_closed or row.password_hash != known:
                raise InputError([Fault("sign-in", "that account was changed just now", "try again")])
            return _begin(session, clinic, row)

    def by_address(self, token: str) -> OneTime | None:
        """What the address is for; None where it does not work, or no longer."""
        with self._store.reading() as session:
            found = address_of(session, hash_of_token(token))
            if found is None or found[0].ends_at <= now() or found[1].is_closed:
                return None
            return OneTime(found[0].purpose, found[1].name)

    def use_address(self, token: str) -> str:
        """Use up an address to sign in; the token of the new session. Raises InputError where it does not work."""
        with self._store.writing() as session:
            clinic = the_clinic(session, to_write=True)
            row = _let_in(session, token, "sign-in")
            return _begin(session, clinic, row)

    def set_password(self, token: str, password: str, again: str) -> str:
        """Use up an address to set the password; every session of the account ends, and the new one's token is given.

        Raises InputError, with the address still good, where the password cannot be one.
        """
        one_time = self.by_address(token)
        if one_time is None or one_time.purpose != "password":
            raise _no_such_address()
        hashed = self._checked(password, again, one_time.name)
        with self._store.writing() as session:
            clinic = the_clinic(session, to_write=True)
            row = _let_in(session, token, "password")
            _renew(session, row, hashed)
            add_audit(session, row.clinic_id, row.name, "set the password of", f"account {row.name}")
            return _begin(session, clinic, row)

    def change_password(self, who: SignedIn, old: str, password: str, again: str) -> str:
        """Change one's own password; every session of the account ends, and a new one's token is given."""
        with self._store.reading() as session:
            row = session.get(Account, who.id)
            known = None if row is None else row.password_hash
        key = ("own", who.name)
        if not self._limiter.test(self._few, *key):
            raise InputError([Fault("old", "too many tries failed", "wait five minutes and try again")])
        if known is not None and not passwords.matches(old[: passwords.MOST + 1], known):
            self._limiter.hit(self._few, *key)
            raise InputError([Fault("old", "that is not your password", "give the one you signed in with")])
        hashed = self._checked(password, again, who.name)
        with self._store.writing() as session:
            clinic = the_clinic(session, to_write=True)
            row = session.get(Account, who.id)
            if row is None or row.is_closed or row.password_hash != known:
                raise InputError([Fault("old", "the account was changed just now", "sign in again")])
            _renew(session, row, hashed)
            add_audit(session, row.clinic_id, row.name, "changed the password of", f"account {row.name}")
            return _begin(session, clinic, row)

    def who(self, token: str) -> SignedIn | None:
        """Whose session it is; None where there is none, or it is over."""
        at, hashed = now(), hash_of_token(token)
        with self._store.reading() as session:
            found = session_of(session, hashed)
            if found is None:
                return None
            row, account = found
            over = at - row.made_at > LASTS or at - row.seen_at > IDLE
            staff = session.get(Staff, account.staff_id) if account.staff_id is not None else None
            signed_in = SignedIn(row.account_id, account.name, _role(account), staff.code if staff else "")
            if over or account.is_closed:
                return None
            seen_lately = at - row.seen_at < _SEEN_AGAIN
        if not seen_lately:
            with self._store.writing() as session:
                found = session_of(session, hashed)
                if found is not None:
                    found[0].seen_at = at
        return signed_in

    def sign_out(self, token: str) -> None:
        with self._store.writing() as session:
            found = session_of(session, hash_of_token(token))
            if found is not None:
                end_session(session, hash_of_token(token))
                add_audit(session, found[1].clinic_id, found[1].name, "signed out of", f"account {found[1].name}")

    def _checked(self, password: str, again: str, name: str) -> str:
        with self._store.reading() as session:
            clinic = the_clinic(session).name
        fault = passwords.fault_in(password, name, clinic)
        what, _, right = fault.partition("; ")
        faults = [Fault("password", what, right)] if fault else []
        if password != again:
            faults.append(Fault("again", "it differs from the password above", "type the same one twice"))
        if faults:
            raise InputError(faults)
        return passwords.hash_of(password)


def _role(account: Account) -> Role:
    return account.role  # type: ignore[return-value]  # the database checks it


def _begin(session: Session, clinic: Clinic, row: Account) -> str:
    assert row.id is not None
    assert clinic.id is not None
    at, token = now(), new_token()
    end_old_sessions(session, at - LASTS, at - IDLE)
    session.add(AccountSession(token_hash=hash_of_token(token), account_id=row.id, made_at=at, seen_at=at))
    add_audit(session, clinic.id, row.name, "signed in to", f"account {row.name}")
    return token


def _renew(session: Session, row: Account, hashed: str) -> None:
    assert row.id is not None
    row.password_hash = hashed
    end_sessions(session, row.id)
    end_addresses(session, row.id)


def _let_in(session: Session, token: str, purpose: str) -> Account:
    """The account of an address that works; it no longer does then."""
    found = address_of(session, hash_of_token(token))
    if found is None or found[0].ends_at <= now() or found[1].is_closed or found[0].purpose != purpose:
        raise _no_such_address()
    session.delete(found[0])
    return found[1]


def _no_such_address() -> InputError:
    return InputError([Fault("address", "it does not work, or no longer", "ask an administrator for a new one")])
