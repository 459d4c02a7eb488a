"""Absences: when a staff member is away from their weekly hours."""

from datetime import datetime

from sqlalchemy import CheckConstraint
from sqlmodel import Field

from app.models.columns import Instant, Table


class Absence(Table, table=True):
    __table_args__ = (CheckConstraint("ends_at > starts_at", name="ends_at"),)

    id: int | None = Field(default=None, primary_key=True)
    staff_id: int = Field(foreign_key="staff.id", index=True)
    starts_at: datetime = Field(sa_type=Instant)
    ends_at: datetime = Field(sa_type=Instant)
    note: str = ""
