"""Places where units stand."""

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from app.models.columns import JsonValue, Table


class Place(Table, table=True):
    __table_args__ = (UniqueConstraint("clinic_id", "code"),)

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id")
    code: str
    is_retired: bool = False
    current_version: int | None = None
    set_up_version: int = 0


class PlaceVersion(Table, table=True):
    """Never altered."""

    __table_args__ = (UniqueConstraint("place_id", "version"), UniqueConstraint("place_id", "digest"))

    id: int | None = Field(default=None, primary_key=True)
    place_id: int = Field(foreign_key="place.id")
    version: int
    digest: str
    name: str
    tags: list[str] = Field(sa_type=JsonValue)
