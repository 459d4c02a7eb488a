"""Accounts and sessions, on both databases."""

from datetime import datetime, timedelta

import pytest
from argon2 import extract_parameters
from argon2.low_level import Type
from sqlmodel import select

from app.db.store import Store
from app.models import Account, AccountSession, Audit, OneTimeAddress
from app.models.columns import now
from app.services import accounts, passwords
from app.services.accounts import ADDRESS_LASTS
from app.services.first_account import first_address
from app.services.signing_in import IDLE, LASTS, SignedIn, SigningIn
from solver.errors import InputError

GOOD = "three plums on a shelf"
OTHER = "seven owls in a barn"


@pytest.fixture
def signing_in(store: Store) -> SigningIn:
    return SigningIn(store)


class Later:
    """Turns the clock that sessions and addresses are judged by."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self._monkeypatch = monkeypatch

    def __call__(self, by: timedelta) -> None:
        def later() -> datetime:
            return now() + by

        self._monkeypatch.setattr("app.services.signing_in.now", later)
        self._monkeypatch.setattr("app.services.accounts.now", later)


@pytest.fixture
def later(monkeypatch: pytest.MonkeyPatch) -> Later:
    return Later(monkeypatch)


def an_account(store: Store, signing_in: SigningIn, name: str = "mara", role: str = "desk") -> str:
    """With a password; the token of its session."""
    return signing_in.set_password(accounts.make_account(store, name, role, actor="test"), GOOD, GOOD)


def test_passwords_are_hashed_at_least_as_hard_as_advised() -> None:
    """OWASP Password Storage Cheat Sheet: argon2id with 19 MiB, two passes, one lane at the least."""
    parameters = extract_parameters(passwords.hash_of(GOOD))
    assert parameters.type is Type.ID
    assert parameters.memory_cost >= 19 * 1024
    assert parameters.time_cost >= 2
    assert parameters.parallelism >= 1


@pytest.mark.parametrize(
    ("password", "what"),
    [
        ("short one", "9 characters"),
        ("x" * 201, "201 characters"),
        ("123qweasdzxc", "most common"),
        ("123QWEasdzxc", "most common"),
        ("aaaaaaaaaaaabb", "repeats"),
        ("passwordpassword", "repeats"),
        ("wilhelmina-1", "little more than a name"),
        ("Test clinic 1", "little more than a name"),
    ],
)
def test_what_cannot_be_a_password_is_said(password: str, what: str) -> None:
    assert what in passwords.fault_in(password, "Wilhelmina", "Test clinic")


@pytest.mark.parametrize("password", [GOOD, "correcthorsebattery", "ÄÖÜ äöü ßéè", "1 2 3 4 5 6 7 8"])
def test_no_mixture_of_kinds_of_characters_is_asked_for(password: str) -> None:
    assert passwords.fault_in(password, "Wilhelmina", "Test clinic") == "" or len(password) < passwords.LEAST


def test_a_new_account_has_no_password_and_cannot_sign_in(store: Store, signing_in: SigningIn) -> None:
    accounts.make_account(store, "mara", "desk", actor="test")
    for password in ("", "mara", "desk", "administrator"):
        with pytest.raises(InputError, match="do not belong together"):
            signing_in.sign_in("mara", password, "here")


def test_a_password_is_set_once_by_an_address_and_signs_in(store: Store, signing_in: SigningIn) -> None:
    token = accounts.make_account(store, "mara", "desk", actor="test")
    session = signing_in.set_password(token, GOOD, GOOD)
    assert signing_in.who(session) == SignedIn(accounts.account_id(store, "mara"), "mara", "desk")
    with pytest.raises(InputError, match="does not work"):
        signing_in.set_password(token, OTHER, OTHER)
    assert signing_in.who(signing_in.sign_in("mara", GOOD, "here")) is not None


def test_a_password_that_cannot_be_one_leaves_the_address_good(store: Store, signing_in: SigningIn) -> None:
    token = accounts.make_account(store, "mara", "desk", actor="test")
    with pytest.raises(InputError) as refused:
        signing_in.set_password(token, "short", "shorter")
    assert [fault.where for fault in refused.value.faults] == ["password", "again"]
    assert signing_in.set_password(token, GOOD, GOOD)


def test_an_address_ends_after_its_time(store: Store, signing_in: SigningIn, later: Later) -> None:
    token = accounts.make_account(store, "mara", "desk", actor="test")
    later(ADDRESS_LASTS + timedelta(seconds=1))
    assert signing_in.by_address(token) is None
    with pytest.raises(InputError, match="does not work"):
        signing_in.set_password(token, GOOD, GOOD)


def test_an_address_serves_its_own_purpose_only(store: Store, signing_in: SigningIn) -> None:
    token = accounts.make_account(store, "mara", "desk", actor="test")
    with pytest.raises(InputError):
        signing_in.use_address(token)
    once = accounts.new_sign_in_address(store, "mara", actor="test")
    with pytest.raises(InputError):
        signing_in.set_password(once, GOOD, GOOD)
    assert signing_in.who(signing_in.use_address(once)) is not None
    with pytest.raises(InputError):
        signing_in.use_address(once)


def test_a_new_address_ends_older_ones(store: Store, signing_in: SigningIn) -> None:
    old = accounts.make_account(store, "mara", "desk", actor="test")
    new = accounts.new_password_address(store, accounts.account_id(store, "mara"), actor="test")
    assert signing_in.by_address(old) is None
    assert signing_in.by_address(new) is not None


def test_a_closed_account_is_out_at_once_and_for_good(store: Store, signing_in: SigningIn) -> None:
    session = an_account(store, signing_in)
    id = accounts.account_id(store, "mara")
    once = accounts.new_sign_in_address(store, "mara", actor="test")
    accounts.close_account(store, id, actor="test")
    assert signing_in.who(session) is None
    assert signing_in.by_address(once) is None
    with pytest.raises(InputError, match="do not belong together"):
        signing_in.sign_in("mara", GOOD, "here")
    with pytest.raises(InputError, match="is closed"):
        accounts.new_password_address(store, id, actor="test")
    accounts.open_account_again(store, id, actor="test")
    assert signing_in.sign_in("mara", GOOD, "here")


def test_sessions_end_when_the_password_is_changed(store: Store, signing_in: SigningIn) -> None:
    first = an_account(store, signing_in)
    second = signing_in.sign_in("mara", GOOD, "here")
    who = signing_in.who(second)
    assert who is not None
    with pytest.raises(InputError, match="not your password"):
        signing_in.change_password(who, OTHER, OTHER, OTHER)
    third = signing_in.change_password(who, GOOD, OTHER, OTHER)
    assert [signing_in.who(token) is not None for token in (first, second, third)] == [False, False, True]


def test_sessions_end_when_the_role_is_changed(store: Store, signing_in: SigningIn) -> None:
    session = an_account(store, signing_in)
    accounts.change_account(store, accounts.account_id(store, "mara"), "manager", "", actor="test")
    assert signing_in.who(session) is None


def test_signing_out_ends_that_session_only(store: Store, signing_in: SigningIn) -> None:
    first = an_account(store, signing_in)
    second = signing_in.sign_in("mara", GOOD, "here")
    signing_in.sign_out(first)
    assert [signing_in.who(token) is not None for token in (first, second)] == [False, True]


@pytest.mark.parametrize("over", [LASTS, IDLE])
def test_a_session_ends_after_its_time(store: Store, signing_in: SigningIn, later: Later, over: timedelta) -> None:
    session = an_account(store, signing_in)
    if over == LASTS:
        for hours in range(1, 14):
            later(timedelta(hours=hours))
            assert signing_in.who(session) is not None
    later(over + timedelta(minutes=1))
    assert signing_in.who(session) is None


def test_a_name_that_fails_too_often_waits_and_others_do_not(store: Store, signing_in: SigningIn) -> None:
    an_account(store, signing_in)
    an_account(store, signing_in, "nils")
    for _ in range(5):
        with pytest.raises(InputError, match="do not belong together"):
            signing_in.sign_in("mara", OTHER, "here")
    with pytest.raises(InputError, match="too many tries"):
        signing_in.sign_in("mara", GOOD, "here")
    assert signing_in.sign_in("nils", GOOD, "here")
    assert signing_in.sign_in("mara", GOOD, "elsewhere")


def test_the_last_administrator_who_can_sign_in_stays(store: Store, signing_in: SigningIn) -> None:
    an_account(store, signing_in, "anna", "administrator")
    accounts.make_account(store, "bo", "administrator", actor="test")  # has no password yet
    id = accounts.account_id(store, "anna")
    with pytest.raises(InputError, match="last administrator"):
        accounts.close_account(store, id, actor="test")
    with pytest.raises(InputError, match="last administrator"):
        accounts.change_account(store, id, "desk", "", actor="test")
    bo = accounts.new_password_address(store, accounts.account_id(store, "bo"), actor="test")
    signing_in.set_password(bo, GOOD, GOOD)
    accounts.close_account(store, id, actor="test")


@pytest.mark.parametrize("name", ["", " ", "a" * 41, "_x", "channelday init!", "a\nb", "a  b", "a ", "\ud800"])
def test_a_name_that_cannot_be_one_is_refused(store: Store, name: str) -> None:
    with pytest.raises(InputError):
        accounts.make_account(store, name, "desk", actor="test")


def test_every_fault_of_a_new_account_is_told_at_once(store: Store) -> None:
    with pytest.raises(InputError) as refused:
        accounts.make_account(store, "", "owner", "nobody", actor="test")
    assert [fault.where for fault in refused.value.faults] == ["name", "role", "staff"]


def test_the_first_address_is_given_until_an_administrator_can_sign_in(store: Store, signing_in: SigningIn) -> None:
    first, second = first_address(store), first_address(store)
    assert first is not None
    assert second is not None
    assert signing_in.by_address(first) is None
    signing_in.set_password(second, GOOD, GOOD)
    assert first_address(store) is None


def test_the_database_keeps_no_token_and_no_password(store: Store, signing_in: SigningIn) -> None:
    once = accounts.make_account(store, "nils", "desk", actor="test")
    session = an_account(store, signing_in)
    with store.reading() as opened:
        kept = [
            *opened.exec(select(AccountSession.token_hash)),
            *opened.exec(select(OneTimeAddress.token_hash)),
            *filter(None, opened.exec(select(Account.password_hash))),
        ]
    assert len(kept) == 3
    assert not any(secret in text for text in kept for secret in (once, session, GOOD))


def test_whatever_is_done_to_an_account_is_in_the_audit(store: Store, signing_in: SigningIn) -> None:
    an_account(store, signing_in)
    accounts.change_account(store, accounts.account_id(store, "mara"), "therapist", "", actor="boss")
    with store.reading() as opened:
        rows = [row for row in opened.exec(select(Audit).order_by(Audit.id)) if row.record == "account mara"]  # type: ignore[arg-type]
    assert [(row.actor, row.action) for row in rows] == [
        ("test", "made"),
        ("mara", "set the password of"),
        ("mara", "signed in to"),
        ("boss", "changed"),
    ]
    assert (rows[-1].before["role"], rows[-1].after["role"]) == ("desk", "therapist")
    assert rows[1].account_id == accounts.account_id(store, "mara")
