"""Plans that were saved. Each carries the version of the day that it made; one of them is the current one."""

from datetime import datetime

from sqlalchemy import Index, UniqueConstraint
from sqlmodel import Field

from app.db.partial import only_where
from app.models.columns import Instant, JsonValue, Table, one_of_check


class SavedPlan(Table, table=True):
    """Everything under a plan repeats ``day_id`` and ``is_current``, held equal by foreign keys that cascade.

    So the database itself can refuse two rows of one current plan that hold the same thing at the same time.
    """

    __table_args__ = (
        UniqueConstraint("day_id", "version"),
        UniqueConstraint("id", "day_id", "is_current"),
        Index("uq_saved_plan_current", "day_id", unique=True, **only_where("is_current = true")),
        one_of_check("status", "optimal", "feasible"),
    )

    id: int | None = Field(default=None, primary_key=True)
    day_id: int = Field(foreign_key="clinic_day.id")
    version: int
    is_current: bool
    status: str
    scores: dict[str, int] = Field(sa_type=JsonValue)
    bounds: dict[str, int] = Field(sa_type=JsonValue)
    saved_at: datetime = Field(sa_type=Instant)
