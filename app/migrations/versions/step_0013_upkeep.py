"""What is done to units and items to keep them right, and a press that says that a battery is empty.

Kept figures of days go: they are counted again, by item too, when they are next asked for.
"""

import sqlalchemy as sa
from alembic import op

from app.db.guards import changes_allowed, exchange_check, refuse_changes

revision = "0013"
down_revision = "0012"

_KINDS = (
    *("arrived", "expected", "missed", "decided"),
    *("started", "phase", "set", "comfort", "skin", "paused", "resumed", "ended", "stopped", "taken_over"),
    *("set_aside", "clean", "out_of_service", "in_service", "away", "back"),
    *("undone", "signed"),
)
_UPKEEP = ("service", "safety test", "calibration")


def upgrade() -> None:
    op.create_table(
        "upkeep",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=True),
        sa.Column("item", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("done_on", sa.Date(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("actor", sa.String(), nullable=False),
        sa.Column("undoes_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(_one_of(_UPKEEP), name=op.f("ck_upkeep_kind")),
        sa.CheckConstraint(
            "(unit_id IS NULL AND item <> '') OR (unit_id IS NOT NULL AND item = '')", name=op.f("ck_upkeep_thing")
        ),
        sa.CheckConstraint("due_on IS NULL OR due_on > done_on", name=op.f("ck_upkeep_due_on")),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_upkeep_clinic_id")),
        sa.ForeignKeyConstraint(["undoes_id"], ["upkeep.id"], name=op.f("fk_upkeep_undoes_id")),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_upkeep_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_upkeep")),
    )
    op.create_index(op.f("ix_upkeep_clinic_id"), "upkeep", ["clinic_id"], unique=False)
    refuse_changes(op.get_bind(), "upkeep")
    with changes_allowed(op.get_bind(), "live_event"):
        more = _one_of((*_KINDS, "battery_empty"))
        exchange_check(op.get_bind(), "live_event", "ck_live_event_kind", _one_of(_KINDS), more)
    op.execute("DELETE FROM day_figures")


def _one_of(kinds: tuple[str, ...]) -> str:
    return f"kind IN ({', '.join(repr(kind) for kind in kinds)})"
