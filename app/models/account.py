"""Accounts of people who use Channelday."""

from datetime import datetime

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from app.models.columns import Instant, Table, one_of_check


class Account(Table, table=True):
    """``password_hash``: argon2id in its own text form; None: no password was set yet."""

    __table_args__ = (
        UniqueConstraint("clinic_id", "name"),
        one_of_check("role", "desk", "therapist", "manager", "administrator"),
    )

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id")
    name: str
    role: str
    password_hash: str | None = None
    made_at: datetime = Field(sa_type=Instant)
    is_closed: bool = False
