"""Items: each one thing of an applicator pool."""

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from app.models.columns import Table


class Item(Table, table=True):
    __table_args__ = (UniqueConstraint("applicator_version_id", "code"),)

    id: int | None = Field(default=None, primary_key=True)
    applicator_version_id: int = Field(foreign_key="applicator_version.id")
    position: int
    code: str
