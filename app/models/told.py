"""What patients were last told of a day. It is kept as it was said: what it names may be gone since."""

from typing import Any

from sqlmodel import Field

from app.models.columns import JsonValue, Table


class ToldVisit(Table, table=True):
    """``told``: a visit as in a plan file."""

    day_id: int = Field(foreign_key="clinic_day.id", primary_key=True)
    position: int = Field(primary_key=True)
    told: dict[str, Any] = Field(sa_type=JsonValue)
