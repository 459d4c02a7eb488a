"""What really happened on a day. Rows are added and never altered or removed: the database refuses it."""

from datetime import datetime
from typing import Any

from sqlmodel import Field

from app.models.columns import Instant, JsonValue, Table, one_of_check


class LiveEvent(Table, table=True):
    """``part`` counts the parts of the visit from 0; None: the event is of the whole visit or of the day."""

    __table_args__ = (
        one_of_check("kind", "arrived", "started", "paused", "resumed", "ended", "delayed", "missed", "note"),
    )

    id: int | None = Field(default=None, primary_key=True)
    day_id: int = Field(foreign_key="clinic_day.id", index=True)
    visit_id: int | None = Field(default=None, foreign_key="booked_visit.id")
    part: int | None = None
    kind: str
    at: datetime = Field(sa_type=Instant)
    account_id: int | None = Field(default=None, foreign_key="account.id")
    detail: dict[str, Any] = Field(sa_type=JsonValue)
