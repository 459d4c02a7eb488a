"""Bays of a place."""

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from app.models.columns import Table


class Bay(Table, table=True):
    __table_args__ = (UniqueConstraint("place_version_id", "code"),)

    id: int | None = Field(default=None, primary_key=True)
    place_version_id: int = Field(foreign_key="place_version.id")
    position: int
    code: str
