"""Events of the Floor: more kinds, one key for each press, and what an event takes back.

The table is made anew: no release wrote a row of it.
"""

import sqlalchemy as sa
from alembic import op

from app.db.guards import changes_allowed

revision = "0012"
down_revision = "0011"

_KINDS = (
    *("arrived", "expected", "missed", "decided"),
    *("started", "phase", "set", "comfort", "skin", "paused", "resumed", "ended", "stopped", "taken_over"),
    *("set_aside", "clean", "out_of_service", "in_service", "away", "back"),
    *("undone", "signed"),
)
_LISTED = ", ".join(f"'{kind}'" for kind in _KINDS)


def upgrade() -> None:
    with changes_allowed(op.get_bind(), "live_event"):
        op.drop_table("live_event")
        op.create_table(
            "live_event",
            sa.Column("id", sa.Integer(), nullable=False),
            sa.Column("day_id", sa.Integer(), nullable=False),
            sa.Column("key", sa.String(), nullable=False),
            sa.Column("visit_id", sa.Integer(), nullable=True),
            sa.Column("part", sa.Integer(), nullable=True),
            sa.Column("kind", sa.String(), nullable=False),
            sa.Column("at", sa.DateTime(timezone=True), nullable=False),
            sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
            sa.Column("account_id", sa.Integer(), nullable=True),
            sa.Column("actor", sa.String(), nullable=False),
            sa.Column("undoes_id", sa.Integer(), nullable=True),
            sa.Column("detail", sa.JSON(none_as_null=True), nullable=False),
            sa.CheckConstraint(
                f"kind IN ({', '.join(repr(kind) for kind in _KINDS)})", name=op.f("ck_live_event_kind")
            ),
            sa.ForeignKeyConstraint(["account_id"], ["account.id"], name=op.f("fk_live_event_account_id")),
            sa.ForeignKeyConstraint(["day_id"], ["clinic_day.id"], name=op.f("fk_live_event_day_id")),
            sa.ForeignKeyConstraint(["undoes_id"], ["live_event.id"], name=op.f("fk_live_event_undoes_id")),
            sa.ForeignKeyConstraint(["visit_id"], ["booked_visit.id"], name=op.f("fk_live_event_visit_id")),
            sa.PrimaryKeyConstraint("id", name=op.f("pk_live_event")),
            sa.UniqueConstraint("key", name=op.f("uq_live_event_key")),
        )
        op.create_index(op.f("ix_live_event_day_id"), "live_event", ["day_id"], unique=False)
        op.create_index(op.f("ix_live_event_visit_id"), "live_event", ["visit_id"], unique=False)
