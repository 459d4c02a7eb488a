"""Breaks that are due on a day; the plan says when they are taken."""

from sqlalchemy import ForeignKeyConstraint
from sqlmodel import Field

from app.models.columns import Table, least_check, span_check


class DueBreak(Table, table=True):
    """A break of ``minutes``, somewhere from ``start_min`` to ``end_min``."""

    __table_args__ = (
        ForeignKeyConstraint(["day_id", "staff_version_id"], ["day_staff.day_id", "day_staff.staff_version_id"]),
        least_check("minutes", 1),
        span_check(),
    )

    day_id: int = Field(primary_key=True)
    staff_version_id: int = Field(primary_key=True)
    position: int = Field(primary_key=True)
    minutes: int
    start_min: int
    end_min: int
