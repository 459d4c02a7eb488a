"""What really happened on a day. Rows are added and never altered or removed: the database refuses it."""

from datetime import datetime
from typing import Any

from sqlmodel import Field

from app.models.columns import Instant, JsonValue, Table, one_of_check

KINDS = (
    *("arrived", "expected", "missed", "decided"),
    *("started", "phase", "set", "comfort", "skin", "paused", "resumed", "ended", "stopped", "taken_over"),
    *("set_aside", "clean", "out_of_service", "in_service", "battery_empty", "away", "back"),
    *("undone", "signed"),
)
"""Of a visit; of a part of it; of a thing or a person; what takes back another event, or closes a visit's record."""


class LiveEvent(Table, table=True):
    """One press. ``part`` counts the parts of the visit from 0; None: the event is of the whole visit, or of the day.

    ``key`` is made where the press is: sent twice, it is still one event. ``at``: when it was pressed, ``received_at``:
    when it came, which is later where the connection was lost. ``detail``: what else is said, by ``kind``.
    """

    __table_args__ = (one_of_check("kind", *KINDS),)

    id: int | None = Field(default=None, primary_key=True)
    day_id: int = Field(foreign_key="clinic_day.id", index=True)
    key: str = Field(unique=True)
    visit_id: int | None = Field(default=None, foreign_key="booked_visit.id", index=True)
    part: int | None = None
    kind: str
    at: datetime = Field(sa_type=Instant)
    received_at: datetime = Field(sa_type=Instant)
    account_id: int | None = Field(default=None, foreign_key="account.id")
    actor: str
    undoes_id: int | None = Field(default=None, foreign_key="live_event.id")
    detail: dict[str, Any] = Field(sa_type=JsonValue)
