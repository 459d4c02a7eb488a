"""Out of service: when a unit cannot be used."""

from datetime import datetime

from sqlalchemy import CheckConstraint
from sqlmodel import Field

from app.models.columns import Instant, Table


class OutOfService(Table, table=True):
    __table_args__ = (CheckConstraint("ends_at > starts_at", name="ends_at"),)

    id: int | None = Field(default=None, primary_key=True)
    unit_id: int = Field(foreign_key="unit.id", index=True)
    starts_at: datetime = Field(sa_type=Instant)
    ends_at: datetime = Field(sa_type=Instant)
    note: str = ""
