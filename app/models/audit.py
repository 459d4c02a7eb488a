"""Who did what, when, to which record. Rows are added and never altered or removed: the database refuses it."""

from datetime import datetime
from typing import Any

from sqlalchemy import Index
from sqlmodel import Field

from app.models.columns import Instant, JsonValue, Table


class Audit(Table, table=True):
    """``record`` names the record without a patient's name, such as ``day 2031-03-04``.

    ``actor`` is the account's name, or the command that was run. ``day_id`` and ``day_version``: where the record is a
    day, which version the change made. ``before`` and ``after`` hold what was changed only.
    """

    __table_args__ = (Index("ix_audit_day", "day_id", "day_version"),)

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id", index=True)
    at: datetime = Field(sa_type=Instant)
    account_id: int | None = Field(default=None, foreign_key="account.id")
    actor: str
    action: str
    record: str
    day_id: int | None = Field(default=None, foreign_key="clinic_day.id")
    day_version: int | None = None
    before: dict[str, Any] = Field(sa_type=JsonValue)
    after: dict[str, Any] = Field(sa_type=JsonValue)
