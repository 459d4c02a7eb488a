"""Secret addresses at which a staff member's calendar can be read."""

from datetime import datetime

from sqlmodel import Field

from app.models.columns import Instant, Table


class CalendarFeed(Table, table=True):
    """``token_hash``: SHA-256 of the secret in the address. ``ended_at``: since then it works no longer."""

    id: int | None = Field(default=None, primary_key=True)
    staff_id: int = Field(foreign_key="staff.id", index=True)
    token_hash: str = Field(unique=True)
    made_at: datetime = Field(sa_type=Instant)
    ended_at: datetime | None = Field(default=None, sa_type=Instant)
