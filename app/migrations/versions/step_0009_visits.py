"""The life of a visit: what became of it, the waiting list, secret addresses of calendars, and what a slip says."""

from uuid import uuid4

import sqlalchemy as sa
from alembic import op

from app.db.guards import refuse_changes

revision = "0009"
down_revision = "0008"

_STATUSES = (
    "status IN ('proposed', 'pending', 'booked', 'arrived', 'fulfilled', 'cancelled', 'noshow', 'entered-in-error', "
    "'checked-in', 'waitlist')"
)


def upgrade() -> None:
    op.create_table(
        "visit_status",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("visit_id", sa.Integer(), nullable=False),
        sa.Column("status", sa.String(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.Column("actor", sa.String(), nullable=False),
        sa.Column("undoes_id", sa.Integer(), nullable=True),
        sa.Column("taken_out", sa.JSON(none_as_null=True), nullable=True),
        sa.CheckConstraint(_STATUSES, name=op.f("ck_visit_status_status")),
        sa.ForeignKeyConstraint(["visit_id"], ["booked_visit.id"], name=op.f("fk_visit_status_visit_id")),
        sa.ForeignKeyConstraint(["account_id"], ["account.id"], name=op.f("fk_visit_status_account_id")),
        sa.ForeignKeyConstraint(["undoes_id"], ["visit_status.id"], name=op.f("fk_visit_status_undoes_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_visit_status")),
    )
    op.create_index(op.f("ix_visit_status_visit_id"), "visit_status", ["visit_id"], unique=False)
    refuse_changes(op.get_bind(), "visit_status")
    op.create_table(
        "waiting",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("patient_id", sa.Integer(), nullable=False),
        sa.Column("treatment_version_id", sa.Integer(), nullable=False),
        sa.Column("priority", sa.Integer(), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.Column("weekdays", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("hours", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("therapist_wish_id", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("is_removed", sa.Boolean(), nullable=False),
        sa.CheckConstraint("priority >= 1", name=op.f("ck_waiting_priority")),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_waiting_clinic_id")),
        sa.ForeignKeyConstraint(["patient_id"], ["patient.id"], name=op.f("fk_waiting_patient_id")),
        sa.ForeignKeyConstraint(
            ["treatment_version_id"], ["treatment_version.id"], name=op.f("fk_waiting_treatment_version_id")
        ),
        sa.ForeignKeyConstraint(["therapist_wish_id"], ["staff.id"], name=op.f("fk_waiting_therapist_wish_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_waiting")),
    )
    op.create_index(op.f("ix_waiting_clinic_id"), "waiting", ["clinic_id"], unique=False)
    op.create_index(op.f("ix_waiting_patient_id"), "waiting", ["patient_id"], unique=False)
    op.create_table(
        "calendar_feed",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_calendar_feed_staff_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_calendar_feed")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_calendar_feed_token_hash")),
    )
    op.create_index(op.f("ix_calendar_feed_staff_id"), "calendar_feed", ["staff_id"], unique=False)
    for column in ("what_to_bring", "calendar_key"):
        op.execute(f"ALTER TABLE clinic ADD COLUMN {column} VARCHAR NOT NULL DEFAULT ''")
    for (id,) in op.get_bind().execute(sa.text("SELECT id FROM clinic")).all():
        key = {"id": id, "key": str(uuid4())}
        op.get_bind().execute(sa.text("UPDATE clinic SET calendar_key = :key WHERE id = :id"), key)
