"""Visits that a plan leaves out, and why."""

from sqlmodel import Field

from app.models.columns import JsonValue, Table


class LeftOutVisit(Table, table=True):
    """``reasons``: each the ``rule`` in the way and a ``text``, as in a plan file."""

    plan_id: int = Field(foreign_key="saved_plan.id", primary_key=True)
    visit_id: int = Field(foreign_key="booked_visit.id", primary_key=True)
    position: int
    reasons: list[dict[str, str]] = Field(sa_type=JsonValue)
