"""Placed visits of a plan, and their parts."""

from sqlalchemy import ForeignKeyConstraint, Index, UniqueConstraint
from sqlmodel import Field

from app.models.columns import Table, span_check

_WHOLE = ("plan_id", "visit_id", "part", "day_id", "is_current", "start_min", "end_min")


class VisitPlaced(Table, table=True):
    __table_args__ = (
        ForeignKeyConstraint(
            ["plan_id", "day_id", "is_current"],
            ["saved_plan.id", "saved_plan.day_id", "saved_plan.is_current"],
            onupdate="CASCADE",
        ),
        ForeignKeyConstraint(["visit_id", "day_id"], ["booked_visit.id", "booked_visit.day_id"]),
        UniqueConstraint("plan_id", "visit_id", "day_id", "is_current"),
    )

    plan_id: int = Field(primary_key=True)
    visit_id: int = Field(primary_key=True)
    day_id: int
    is_current: bool
    position: int
    therapist_id: int | None = Field(default=None, foreign_key="staff.id")


class PartPlaced(Table, table=True):
    """``part`` counts the parts of the visit's treatment from 0."""

    __table_args__ = (
        ForeignKeyConstraint(
            ["plan_id", "visit_id", "day_id", "is_current"],
            ["visit_placed.plan_id", "visit_placed.visit_id", "visit_placed.day_id", "visit_placed.is_current"],
            onupdate="CASCADE",
        ),
        UniqueConstraint(
            "plan_id", "visit_id", "part", "day_id", "is_current", "start_min", "end_min", name="uq_part_placed_whole"
        ),
        Index("ix_part_placed_bay", "day_id", "bay_id"),
        span_check(),
    )

    plan_id: int = Field(primary_key=True)
    visit_id: int = Field(primary_key=True)
    part: int = Field(primary_key=True)
    day_id: int
    is_current: bool
    start_min: int
    end_min: int
    unit_id: int = Field(foreign_key="unit.id")
    bay_id: int = Field(foreign_key="bay.id")
