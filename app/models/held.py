"""What a placed part holds: channels, items, and hands.

The minutes of channels and items are the part's own; a foreign key keeps them equal. Hands have those of their phase.
"""

from sqlalchemy import ForeignKeyConstraint, Index
from sqlmodel import Field

from app.models.columns import Table, span_check

_WHOLE_PART = ["plan_id", "visit_id", "part", "day_id", "is_current", "start_min", "end_min"]


def _whole_part(table: str) -> ForeignKeyConstraint:
    return ForeignKeyConstraint(
        _WHOLE_PART, [f"part_placed.{column}" for column in _WHOLE_PART], onupdate="CASCADE", name=f"fk_{table}_part"
    )


class HeldChannel(Table, table=True):
    __table_args__ = (
        _whole_part("held_channel"),
        Index("ix_held_channel_channel", "day_id", "channel_id"),
        span_check(),
    )

    plan_id: int = Field(primary_key=True)
    visit_id: int = Field(primary_key=True)
    part: int = Field(primary_key=True)
    channel_id: int = Field(foreign_key="channel.id", primary_key=True)
    position: int
    output: str
    day_id: int
    is_current: bool
    start_min: int
    end_min: int


class HeldItem(Table, table=True):
    __table_args__ = (_whole_part("held_item"), Index("ix_held_item_item", "day_id", "item_id"), span_check())

    plan_id: int = Field(primary_key=True)
    visit_id: int = Field(primary_key=True)
    part: int = Field(primary_key=True)
    item_id: int = Field(foreign_key="item.id", primary_key=True)
    position: int
    day_id: int
    is_current: bool
    start_min: int
    end_min: int


class HeldHands(Table, table=True):
    """The hands of one phase; a phase in nobody's hands has no row."""

    __table_args__ = (
        ForeignKeyConstraint(
            ["plan_id", "visit_id", "day_id", "is_current"],
            ["visit_placed.plan_id", "visit_placed.visit_id", "visit_placed.day_id", "visit_placed.is_current"],
            onupdate="CASCADE",
        ),
        ForeignKeyConstraint(
            ["plan_id", "visit_id", "part"], ["part_placed.plan_id", "part_placed.visit_id", "part_placed.part"]
        ),
        Index("ix_held_hands_staff", "day_id", "staff_id"),
        span_check(),
    )

    plan_id: int = Field(primary_key=True)
    visit_id: int = Field(primary_key=True)
    part: int = Field(primary_key=True)
    phase: int = Field(primary_key=True)
    staff_id: int = Field(foreign_key="staff.id")
    day_id: int
    is_current: bool
    start_min: int
    end_min: int
