"""Channels of a unit."""

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from app.models.columns import JsonValue, Table


class Channel(Table, table=True):
    __table_args__ = (UniqueConstraint("unit_version_id", "code"),)

    id: int | None = Field(default=None, primary_key=True)
    unit_version_id: int = Field(foreign_key="unit_version.id")
    position: int
    code: str
    drives: list[str] = Field(sa_type=JsonValue)
