"""Accounts of people who use Channelday, their sessions, and addresses that let somebody in once."""

from datetime import datetime

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from app.models.columns import Instant, Table, one_of_check
from app.roles import ROLES


class Account(Table, table=True):
    """``password_hash``: argon2id in its own text form; None: no password was set yet.

    ``staff_id``: whom of the staff the account is for; None: nobody of them.
    """

    __table_args__ = (UniqueConstraint("clinic_id", "name"), one_of_check("role", *ROLES))

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id")
    name: str
    role: str
    password_hash: str | None = None
    made_at: datetime = Field(sa_type=Instant)
    is_closed: bool = False
    staff_id: int | None = Field(default=None, foreign_key="staff.id")


class AccountSession(Table, table=True):
    """A browser that is signed in. It holds the token; here is the token's SHA-256 only."""

    token_hash: str = Field(primary_key=True)
    account_id: int = Field(foreign_key="account.id", index=True)
    made_at: datetime = Field(sa_type=Instant)
    seen_at: datetime = Field(sa_type=Instant)


class OneTimeAddress(Table, table=True):
    """An address that works once. ``purpose``: to sign in, or to set a password and then sign in."""

    __table_args__ = (one_of_check("purpose", "sign-in", "password"),)

    token_hash: str = Field(primary_key=True)
    account_id: int = Field(foreign_key="account.id", index=True)
    purpose: str
    ends_at: datetime = Field(sa_type=Instant)
