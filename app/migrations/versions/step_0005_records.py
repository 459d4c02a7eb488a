"""Accounts, live events and audit; events and audit are only ever added to."""

import sqlalchemy as sa
from alembic import op

from app.db.guards import refuse_changes

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.create_table(
        "account",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("password_hash", sa.String(), nullable=True),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("is_closed", sa.Boolean(), nullable=False),
        sa.CheckConstraint("role IN ('desk', 'therapist', 'manager', 'administrator')", name=op.f("ck_account_role")),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_account_clinic_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_account")),
        sa.UniqueConstraint("clinic_id", "name", name=op.f("uq_account_clinic_id_name")),
    )
    op.create_table(
        "live_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("visit_id", sa.Integer(), nullable=True),
        sa.Column("part", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.Column("detail", sa.JSON(none_as_null=True), nullable=False),
        sa.CheckConstraint(
            "kind IN ('arrived', 'started', 'paused', 'resumed', 'ended', 'delayed', 'missed', 'note')",
            name=op.f("ck_live_event_kind"),
        ),
        sa.ForeignKeyConstraint(["account_id"], ["account.id"], name=op.f("fk_live_event_account_id")),
        sa.ForeignKeyConstraint(["day_id"], ["clinic_day.id"], name=op.f("fk_live_event_day_id")),
        sa.ForeignKeyConstraint(["visit_id"], ["booked_visit.id"], name=op.f("fk_live_event_visit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_live_event")),
    )
    op.create_index(op.f("ix_live_event_day_id"), "live_event", ["day_id"], unique=False)
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.Column("actor", sa.String(), nullable=False),
        sa.Column("action", sa.String(), nullable=False),
        sa.Column("record", sa.String(), nullable=False),
        sa.Column("day_id", sa.Integer(), nullable=True),
        sa.Column("day_version", sa.Integer(), nullable=True),
        sa.Column("before", sa.JSON(none_as_null=True), nullable=False),
        sa.Column("after", sa.JSON(none_as_null=True), nullable=False),
        sa.ForeignKeyConstraint(["account_id"], ["account.id"], name=op.f("fk_audit_account_id")),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_audit_clinic_id")),
        sa.ForeignKeyConstraint(["day_id"], ["clinic_day.id"], name=op.f("fk_audit_day_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_audit")),
    )
    op.create_index(op.f("ix_audit_clinic_id"), "audit", ["clinic_id"], unique=False)
    op.create_index("ix_audit_day", "audit", ["day_id", "day_version"], unique=False)
    refuse_changes(op.get_bind(), "live_event")
    refuse_changes(op.get_bind(), "audit")
