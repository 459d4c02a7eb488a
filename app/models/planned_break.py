"""Breaks as a plan has them."""

from sqlalchemy import ForeignKeyConstraint
from sqlmodel import Field

from app.models.columns import Table, span_check


class PlannedBreak(Table, table=True):
    __table_args__ = (
        ForeignKeyConstraint(
            ["plan_id", "day_id", "is_current"],
            ["saved_plan.id", "saved_plan.day_id", "saved_plan.is_current"],
            onupdate="CASCADE",
        ),
        span_check(),
    )

    plan_id: int = Field(primary_key=True)
    position: int = Field(primary_key=True)
    staff_id: int = Field(foreign_key="staff.id")
    day_id: int
    is_current: bool
    start_min: int
    end_min: int
