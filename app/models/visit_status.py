"""What became of a visit, step by step. Rows are added and never altered or removed: the database refuses it."""

from datetime import datetime
from typing import Any

from sqlmodel import Field

from app.models.columns import Instant, JsonValue, Table, one_of_check

STATUSES = (
    "proposed",
    "pending",
    "booked",
    "arrived",
    "fulfilled",
    "cancelled",
    "noshow",
    "entered-in-error",
    "checked-in",
    "waitlist",
)
"""The codes of FHIR R4's Appointment.status. A visit without a row is ``booked``."""


class VisitStatus(Table, table=True):
    """``status``: what the visit is from then on. ``undoes_id``: the step that is taken back by this one.

    ``taken_out``: where the visit left its day, the visit as in a day file and where it was as in a plan file (None:
    nowhere), so that it can be put back and its minutes be offered to others.
    """

    __table_args__ = (one_of_check("status", *STATUSES),)

    id: int | None = Field(default=None, primary_key=True)
    visit_id: int = Field(foreign_key="booked_visit.id", index=True)
    status: str
    reason: str = ""
    at: datetime = Field(sa_type=Instant)
    account_id: int | None = Field(default=None, foreign_key="account.id")
    actor: str
    undoes_id: int | None = Field(default=None, foreign_key="visit_status.id")
    taken_out: dict[str, Any] | None = Field(default=None, sa_type=JsonValue)
