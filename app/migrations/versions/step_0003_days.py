"""Days, what is there on them, and their visits."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.create_table(
        "clinic_day",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("date", sa.Date(), nullable=False),
        sa.Column("time_zone", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("open_min", sa.Integer(), nullable=False),
        sa.Column("close_min", sa.Integer(), nullable=False),
        sa.Column("step_min", sa.Integer(), nullable=False),
        sa.Column("move_min", sa.Integer(), nullable=False),
        sa.Column("bay_turnover_min", sa.Integer(), nullable=False),
        sa.Column("aims", sa.JSON(none_as_null=True), nullable=False),
        sa.CheckConstraint("bay_turnover_min >= 0", name=op.f("ck_clinic_day_bay_turnover_min")),
        sa.CheckConstraint("move_min >= 0", name=op.f("ck_clinic_day_move_min")),
        sa.CheckConstraint(
            "open_min >= 0 AND close_min > open_min AND close_min <= 1440",
            name=op.f("ck_clinic_day_open_min_close_min"),
        ),
        sa.CheckConstraint("step_min IN (1, 5, 10, 15)", name=op.f("ck_clinic_day_step_min")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_clinic_day_version")),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_clinic_day_clinic_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_clinic_day")),
        sa.UniqueConstraint("clinic_id", "date", name=op.f("uq_clinic_day_clinic_id_date")),
    )
    op.create_table(
        "day_unit",
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("unit_version_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("hours", sa.JSON(none_as_null=True), nullable=True),
        sa.ForeignKeyConstraint(["day_id"], ["clinic_day.id"], name=op.f("fk_day_unit_day_id")),
        sa.ForeignKeyConstraint(["unit_version_id"], ["unit_version.id"], name=op.f("fk_day_unit_unit_version_id")),
        sa.PrimaryKeyConstraint("day_id", "unit_version_id", name=op.f("pk_day_unit")),
    )
    op.create_table(
        "day_applicator",
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("applicator_version_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["applicator_version_id"], ["applicator_version.id"], name=op.f("fk_day_applicator_applicator_version_id")
        ),
        sa.ForeignKeyConstraint(["day_id"], ["clinic_day.id"], name=op.f("fk_day_applicator_day_id")),
        sa.PrimaryKeyConstraint("day_id", "applicator_version_id", name=op.f("pk_day_applicator")),
    )
    op.create_table(
        "day_place",
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("place_version_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["day_id"], ["clinic_day.id"], name=op.f("fk_day_place_day_id")),
        sa.ForeignKeyConstraint(["place_version_id"], ["place_version.id"], name=op.f("fk_day_place_place_version_id")),
        sa.PrimaryKeyConstraint("day_id", "place_version_id", name=op.f("pk_day_place")),
    )
    op.create_table(
        "day_staff",
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("staff_version_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("hours", sa.JSON(none_as_null=True), nullable=False),
        sa.ForeignKeyConstraint(["day_id"], ["clinic_day.id"], name=op.f("fk_day_staff_day_id")),
        sa.ForeignKeyConstraint(["staff_version_id"], ["staff_version.id"], name=op.f("fk_day_staff_staff_version_id")),
        sa.PrimaryKeyConstraint("day_id", "staff_version_id", name=op.f("pk_day_staff")),
    )
    op.create_table(
        "due_break",
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("staff_version_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("start_min", sa.Integer(), nullable=False),
        sa.Column("end_min", sa.Integer(), nullable=False),
        sa.CheckConstraint("minutes >= 1", name=op.f("ck_due_break_minutes")),
        sa.CheckConstraint(
            "start_min >= 0 AND end_min > start_min AND end_min <= 1440", name=op.f("ck_due_break_start_min_end_min")
        ),
        sa.ForeignKeyConstraint(
            ["day_id", "staff_version_id"],
            ["day_staff.day_id", "day_staff.staff_version_id"],
            name=op.f("fk_due_break_day_id_staff_version_id"),
        ),
        sa.PrimaryKeyConstraint("day_id", "staff_version_id", "position", name=op.f("pk_due_break")),
    )
    op.create_table(
        "told_visit",
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("told", sa.JSON(none_as_null=True), nullable=False),
        sa.ForeignKeyConstraint(["day_id"], ["clinic_day.id"], name=op.f("fk_told_visit_day_id")),
        sa.PrimaryKeyConstraint("day_id", "position", name=op.f("pk_told_visit")),
    )
    op.create_table(
        "booked_visit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("patient_id", sa.Integer(), nullable=False),
        sa.Column("course_id", sa.Integer(), nullable=True),
        sa.Column("treatment_version_id", sa.Integer(), nullable=False),
        sa.Column("priority", sa.Integer(), nullable=False),
        sa.Column("free", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("wish_min", sa.Integer(), nullable=True),
        sa.Column("therapist_wish_id", sa.Integer(), nullable=True),
        sa.Column("therapist_must_id", sa.Integer(), nullable=True),
        sa.Column("place_tags", sa.JSON(none_as_null=True), nullable=False),
        sa.Column("fixed", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("is_removed", sa.Boolean(), nullable=False),
        sa.CheckConstraint("priority >= 1", name=op.f("ck_booked_visit_priority")),
        sa.CheckConstraint("wish_min >= 0", name=op.f("ck_booked_visit_wish_min")),
        sa.ForeignKeyConstraint(["course_id"], ["course.id"], name=op.f("fk_booked_visit_course_id")),
        sa.ForeignKeyConstraint(["day_id"], ["clinic_day.id"], name=op.f("fk_booked_visit_day_id")),
        sa.ForeignKeyConstraint(["patient_id"], ["patient.id"], name=op.f("fk_booked_visit_patient_id")),
        sa.ForeignKeyConstraint(["therapist_must_id"], ["staff.id"], name=op.f("fk_booked_visit_therapist_must_id")),
        sa.ForeignKeyConstraint(["therapist_wish_id"], ["staff.id"], name=op.f("fk_booked_visit_therapist_wish_id")),
        sa.ForeignKeyConstraint(
            ["treatment_version_id"], ["treatment_version.id"], name=op.f("fk_booked_visit_treatment_version_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_booked_visit")),
        sa.UniqueConstraint("id", "day_id", name=op.f("uq_booked_visit_id_day_id")),
    )
    op.create_index(op.f("ix_booked_visit_course_id"), "booked_visit", ["course_id"], unique=False)
    op.create_index(op.f("ix_booked_visit_patient_id"), "booked_visit", ["patient_id"], unique=False)
    op.create_index(
        "uq_booked_visit_code",
        "booked_visit",
        ["day_id", "code"],
        unique=True,
        sqlite_where=sa.text("is_removed = false"),
        postgresql_where=sa.text("is_removed = false"),
    )
