"""Accounts, their sessions, and addresses that work once."""

from datetime import datetime

from sqlalchemy import delete
from sqlmodel import Session, col, select

from app.models import Account, AccountSession, OneTimeAddress


def account_named(session: Session, clinic_id: int, name: str) -> Account | None:
    return session.exec(select(Account).where(Account.clinic_id == clinic_id, Account.name == name)).first()


def accounts_of(session: Session, clinic_id: int) -> list[Account]:
    """All of them by name, the closed ones too."""
    return list(session.exec(select(Account).where(Account.clinic_id == clinic_id).order_by(Account.name)))


def open_administrators(session: Session, clinic_id: int) -> int:
    """How many administrators there are who can sign in."""
    query = select(Account.id).where(Account.clinic_id == clinic_id, Account.role == "administrator")
    usable = query.where(col(Account.is_closed).is_(False), col(Account.password_hash).is_not(None))
    return len(session.exec(usable).all())


def session_of(session: Session, token_hash: str) -> tuple[AccountSession, Account] | None:
    query = select(AccountSession, Account).join(Account, col(Account.id) == AccountSession.account_id)
    return session.exec(query.where(AccountSession.token_hash == token_hash)).first()


def end_sessions(session: Session, account_id: int) -> None:
    session.exec(delete(AccountSession).where(col(AccountSession.account_id) == account_id))


def end_session(session: Session, token_hash: str) -> None:
    session.exec(delete(AccountSession).where(col(AccountSession.token_hash) == token_hash))


def end_old_sessions(session: Session, made_before: datetime, seen_before: datetime) -> None:
    old = (col(AccountSession.made_at) < made_before) | (col(AccountSession.seen_at) < seen_before)
    session.exec(delete(AccountSession).where(old))


def address_of(session: Session, token_hash: str) -> tuple[OneTimeAddress, Account] | None:
    query = select(OneTimeAddress, Account).join(Account, col(Account.id) == OneTimeAddress.account_id)
    return session.exec(query.where(OneTimeAddress.token_hash == token_hash)).first()


def end_addresses(session: Session, account_id: int) -> None:
    """None of the account's addresses works any more."""
    session.exec(delete(OneTimeAddress).where(col(OneTimeAddress.account_id) == account_id))
