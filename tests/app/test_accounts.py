"""Accounts, passwords, sessions and addresses that work once: what ends when, and what is kept of it."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from argon2 import extract_parameters
from sqlmodel import select

from app.db.store import Store
from app.models import AccountSession, Audit, OneTimeAddress
from app.models.columns import now
from app.services import accounts, passwords, signing_in
from app.services.signing_in import IDLE, LASTS, SigningIn
from app.services.tokens import hash_of_token
from solver.errors import InputError
from tests.app.clinic_days import store_in

GOOD = "quiet lamp under stairs"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    store = store_in(tmp_path)
    yield store
    store.close()


def id_of(store: Store, name: str) -> int:
    return next(line.id for line in accounts.accounts(store) if line.name == name)


def with_password(store: Store, name: str) -> str:
    """The token of the session that begins with the password being set."""
    token = accounts.new_password_address(store, id_of(store, name), actor="test")
    return SigningIn(store).set_password(token, GOOD, GOOD)


def test_hashes_cost_at_least_what_owasp_names() -> None:
    # OWASP Password Storage Cheat Sheet: argon2id with at least 19 MiB of memory, 2 iterations, 1 lane.
    kept = extract_parameters(passwords.hash_of(GOOD))
    assert kept.type.name == "ID"
    assert (kept.memory_cost >= 19 * 1024, kept.time_cost >= 2, kept.parallelism >= 1) == (True, True, True)


@pytest.mark.parametrize(
    "password",
    ["short", "elevenchars", "x" * 201, "aaaaaaaaaaaaaaaa", "desk of Anna", "123qweasdzxc", "1QAZ2WSX3EDC"],
)
def test_weak_passwords_are_refused(password: str) -> None:
    assert passwords.fault_in(password, "desk of Anna", "Rowan Street")
    assert not passwords.fault_in(GOOD, "desk of Anna", "Rowan Street")


def test_a_new_account_has_no_password(store: Store) -> None:
    accounts.make_account(store, "New One", "desk", actor="test")
    for password in ("", "New One", "password", "channelday"):
        with pytest.raises(InputError):
            SigningIn(store).sign_in("New One", password, "here")


def test_an_address_sets_a_password_once(store: Store) -> None:
    people = SigningIn(store)
    token = accounts.new_password_address(store, id_of(store, "desk"), actor="test")
    with pytest.raises(InputError):
        people.set_password(token, "short", "short")
    with pytest.raises(InputError):
        people.use_address(token)
    who = people.who(people.set_password(token, GOOD, GOOD))
    assert who is not None
    assert who.name == "desk"
    with pytest.raises(InputError):
        people.set_password(token, GOOD, GOOD)
    assert people.who(people.sign_in("desk", GOOD, "here")) == who


def test_a_new_address_ends_the_older_ones_and_closing_ends_all(store: Store) -> None:
    people, desk = SigningIn(store), id_of(store, "desk")
    first = accounts.new_password_address(store, desk, actor="test")
    second = accounts.new_password_address(store, desk, actor="test")
    assert people.by_address(first) is None
    assert people.by_address(second) is not None
    accounts.close_account(store, desk, actor="test")
    assert people.by_address(second) is None
    accounts.open_account_again(store, desk, actor="test")
    assert people.by_address(second) is None


def test_an_address_ends_in_time(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    token = accounts.new_sign_in_address(store, "desk", actor="test")
    later = now() + accounts.ADDRESS_LASTS
    monkeypatch.setattr(signing_in, "now", lambda: later)
    people = SigningIn(store)
    assert people.by_address(token) is None
    with pytest.raises(InputError):
        people.use_address(token)


def test_a_session_ends_on_a_new_password_on_another_role_and_on_closing(store: Store) -> None:
    people, desk = SigningIn(store), id_of(store, "desk")
    first = with_password(store, "desk")
    second = with_password(store, "desk")
    assert people.who(first) is None
    who = people.who(second)
    assert who is not None
    third = people.change_password(who, GOOD, GOOD + "!", GOOD + "!")
    assert people.who(second) is None
    accounts.change_account(store, desk, "manager", "", actor="test")
    assert people.who(third) is None
    fourth = people.sign_in("desk", GOOD + "!", "here")
    accounts.close_account(store, desk, actor="test")
    assert people.who(fourth) is None
    with pytest.raises(InputError):
        people.sign_in("desk", GOOD + "!", "here")


@pytest.mark.parametrize(("step", "until"), [(IDLE + timedelta(seconds=1), IDLE), (timedelta(hours=1), LASTS)])
def test_a_session_ends_unused_and_at_last_even_where_used(
    store: Store, monkeypatch: pytest.MonkeyPatch, step: timedelta, until: timedelta
) -> None:
    people = SigningIn(store)
    token = people.use_address(accounts.new_sign_in_address(store, "desk", actor="test"))
    begun = at = now()

    def moment() -> datetime:
        return at

    monkeypatch.setattr(signing_in, "now", moment)
    while people.who(token) is not None:
        at += step
        assert at - begun < timedelta(days=2)
    assert until <= at - begun <= until + step


def test_five_wrong_tries_are_enough_for_a_while(store: Store) -> None:
    with_password(store, "desk")
    people = SigningIn(store)
    for _ in range(5):
        with pytest.raises(InputError, match="do not belong together"):
            people.sign_in("desk", "wrong password here", "here")
    with pytest.raises(InputError, match="too many"):
        people.sign_in("desk", GOOD, "here")
    assert people.who(people.sign_in("desk", GOOD, "elsewhere")) is not None


def test_unknown_names_cost_a_hash_too(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[str | None] = []
    real = passwords.matches

    def counted(password: str, kept: str | None) -> bool:
        tried.append(kept)
        return real(password, kept)

    monkeypatch.setattr(passwords, "matches", counted)
    said = set()
    with_password(store, "desk")
    for name in ("desk", "nobody of that name"):
        with pytest.raises(InputError) as caught:
            SigningIn(store).sign_in(name, "wrong password here", "here")
        said.add(str(caught.value))
    assert [kept is None for kept in tried] == [False, True]
    assert len(said) == 1
    assert extract_parameters(passwords._nobodys_hash()) == extract_parameters(passwords.hash_of(GOOD))


def test_the_last_administrator_stays(store: Store) -> None:
    with_password(store, "administrator")
    last = id_of(store, "administrator")
    with pytest.raises(InputError, match="last administrator"):
        accounts.close_account(store, last, actor="test")
    with pytest.raises(InputError, match="last administrator"):
        accounts.change_account(store, last, "desk", "", actor="test")
    accounts.make_account(store, "Second", "administrator", actor="test")
    with pytest.raises(InputError, match="last administrator"):
        accounts.close_account(store, last, actor="test")
    with_password(store, "Second")
    accounts.close_account(store, last, actor="test")


def test_tokens_are_kept_as_hashes_and_each_step_is_in_the_audit(store: Store) -> None:
    session_token = with_password(store, "desk")
    address = accounts.new_password_address(store, id_of(store, "desk"), actor="test")
    SigningIn(store).sign_out(SigningIn(store).sign_in("desk", GOOD, "here"))
    with store.reading() as session:
        sessions = [row.token_hash for row in session.exec(select(AccountSession))]
        addresses = [row.token_hash for row in session.exec(select(OneTimeAddress))]
        done = {row.action for row in session.exec(select(Audit)) if row.record == "account desk"}
        kept = "".join(str(row) for row in session.exec(select(Audit)))
    assert hash_of_token(session_token) in sessions
    assert hash_of_token(address) in addresses
    for secret in (session_token, address, GOOD):
        assert secret not in "".join(sessions + addresses) + kept
    assert {"made", "set the password of", "signed in to", "signed out of"} <= done
