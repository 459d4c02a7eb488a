"""What a clinic has: units, applicators, places, staff, and when they are there."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    op.create_table(
        "clinic",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("time_zone", sa.String(), nullable=False),
        sa.Column("step_min", sa.Integer(), nullable=False),
        sa.Column("move_min", sa.Integer(), nullable=False),
        sa.Column("bay_turnover_min", sa.Integer(), nullable=False),
        sa.Column("aims", sa.JSON(none_as_null=True), nullable=False),
        sa.CheckConstraint("bay_turnover_min >= 0", name=op.f("ck_clinic_bay_turnover_min")),
        sa.CheckConstraint("move_min >= 0", name=op.f("ck_clinic_move_min")),
        sa.CheckConstraint("step_min IN (1, 5, 10, 15)", name=op.f("ck_clinic_step_min")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_clinic")),
        sa.UniqueConstraint("name", name=op.f("uq_clinic_name")),
    )
    op.create_table(
        "opening",
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("start_min", sa.Integer(), nullable=False),
        sa.Column("end_min", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "start_min >= 0 AND end_min > start_min AND end_min <= 1440", name=op.f("ck_opening_start_min_end_min")
        ),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name=op.f("ck_opening_weekday")),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_opening_clinic_id")),
        sa.PrimaryKeyConstraint("clinic_id", "weekday", name=op.f("pk_opening")),
    )
    op.create_table(
        "closure",
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("date", sa.Date(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_closure_clinic_id")),
        sa.PrimaryKeyConstraint("clinic_id", "date", name=op.f("pk_closure")),
    )
    op.create_table(
        "place",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("is_retired", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_place_clinic_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_place")),
        sa.UniqueConstraint("clinic_id", "code", name=op.f("uq_place_clinic_id_code")),
    )
    op.create_table(
        "place_version",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("place_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("tags", sa.JSON(none_as_null=True), nullable=False),
        sa.ForeignKeyConstraint(["place_id"], ["place.id"], name=op.f("fk_place_version_place_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_place_version")),
        sa.UniqueConstraint("place_id", "digest", name=op.f("uq_place_version_place_id_digest")),
        sa.UniqueConstraint("place_id", "version", name=op.f("uq_place_version_place_id_version")),
    )
    op.create_table(
        "bay",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("place_version_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["place_version_id"], ["place_version.id"], name=op.f("fk_bay_place_version_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bay")),
        sa.UniqueConstraint("place_version_id", "code", name=op.f("uq_bay_place_version_id_code")),
    )
    op.create_table(
        "unit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("is_retired", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_unit_clinic_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_unit")),
        sa.UniqueConstraint("clinic_id", "code", name=op.f("uq_unit_clinic_id_code")),
    )
    op.create_table(
        "unit_version",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("patients_at_once", sa.Integer(), nullable=False),
        sa.CheckConstraint("patients_at_once >= 1", name=op.f("ck_unit_version_patients_at_once")),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_unit_version_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_unit_version")),
        sa.UniqueConstraint("unit_id", "digest", name=op.f("uq_unit_version_unit_id_digest")),
        sa.UniqueConstraint("unit_id", "version", name=op.f("uq_unit_version_unit_id_version")),
    )
    op.create_table(
        "channel",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("unit_version_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("drives", sa.JSON(none_as_null=True), nullable=False),
        sa.ForeignKeyConstraint(["unit_version_id"], ["unit_version.id"], name=op.f("fk_channel_unit_version_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_channel")),
        sa.UniqueConstraint("unit_version_id", "code", name=op.f("uq_channel_unit_version_id_code")),
    )
    op.create_table(
        "battery",
        sa.Column("unit_version_id", sa.Integer(), nullable=False),
        sa.Column("capacity_wh", sa.Integer(), nullable=False),
        sa.Column("start_pct", sa.Integer(), nullable=False),
        sa.Column("reserve_pct", sa.Integer(), nullable=False),
        sa.Column("standby_w", sa.Integer(), nullable=False),
        sa.Column("draw_w", sa.JSON(none_as_null=True), nullable=False),
        sa.Column("pump_w", sa.Integer(), nullable=False),
        sa.Column("charge_w", sa.Integer(), nullable=False),
        sa.Column("min_charge_min", sa.Integer(), nullable=False),
        sa.CheckConstraint("capacity_wh >= 0", name=op.f("ck_battery_capacity_wh")),
        sa.CheckConstraint("charge_w >= 0", name=op.f("ck_battery_charge_w")),
        sa.CheckConstraint("min_charge_min >= 0", name=op.f("ck_battery_min_charge_min")),
        sa.CheckConstraint("pump_w >= 0", name=op.f("ck_battery_pump_w")),
        sa.CheckConstraint("reserve_pct BETWEEN 0 AND 100", name=op.f("ck_battery_reserve_pct")),
        sa.CheckConstraint("standby_w >= 0", name=op.f("ck_battery_standby_w")),
        sa.CheckConstraint("start_pct BETWEEN 0 AND 100", name=op.f("ck_battery_start_pct")),
        sa.ForeignKeyConstraint(["unit_version_id"], ["unit_version.id"], name=op.f("fk_battery_unit_version_id")),
        sa.PrimaryKeyConstraint("unit_version_id", name=op.f("pk_battery")),
    )
    op.create_table(
        "unit_place",
        sa.Column("unit_version_id", sa.Integer(), nullable=False),
        sa.Column("place_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["place_id"], ["place.id"], name=op.f("fk_unit_place_place_id")),
        sa.ForeignKeyConstraint(["unit_version_id"], ["unit_version.id"], name=op.f("fk_unit_place_unit_version_id")),
        sa.PrimaryKeyConstraint("unit_version_id", "place_id", name=op.f("pk_unit_place")),
    )
    op.create_table(
        "out_of_service",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=False),
        sa.Column("starts_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint("ends_at > starts_at", name=op.f("ck_out_of_service_ends_at")),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_out_of_service_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_out_of_service")),
    )
    op.create_index(op.f("ix_out_of_service_unit_id"), "out_of_service", ["unit_id"], unique=False)
    op.create_table(
        "applicator",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("is_retired", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_applicator_clinic_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_applicator")),
        sa.UniqueConstraint("clinic_id", "code", name=op.f("uq_applicator_clinic_id_code")),
    )
    op.create_table(
        "applicator_version",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("applicator_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("turnaround_min", sa.Integer(), nullable=False),
        sa.Column("fits_all", sa.Boolean(), nullable=False),
        sa.CheckConstraint("turnaround_min >= 0", name=op.f("ck_applicator_version_turnaround_min")),
        sa.ForeignKeyConstraint(["applicator_id"], ["applicator.id"], name=op.f("fk_applicator_version_applicator_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_applicator_version")),
        sa.UniqueConstraint("applicator_id", "digest", name=op.f("uq_applicator_version_applicator_id_digest")),
        sa.UniqueConstraint("applicator_id", "version", name=op.f("uq_applicator_version_applicator_id_version")),
    )
    op.create_table(
        "applicator_unit",
        sa.Column("applicator_version_id", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["applicator_version_id"], ["applicator_version.id"], name=op.f("fk_applicator_unit_applicator_version_id")
        ),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_applicator_unit_unit_id")),
        sa.PrimaryKeyConstraint("applicator_version_id", "unit_id", name=op.f("pk_applicator_unit")),
    )
    op.create_table(
        "item",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("applicator_version_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["applicator_version_id"], ["applicator_version.id"], name=op.f("fk_item_applicator_version_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_item")),
        sa.UniqueConstraint("applicator_version_id", "code", name=op.f("uq_item_applicator_version_id_code")),
    )
    op.create_table(
        "staff",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("is_retired", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_staff_clinic_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_staff")),
        sa.UniqueConstraint("clinic_id", "code", name=op.f("uq_staff_clinic_id_code")),
    )
    op.create_table(
        "staff_version",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("skills", sa.JSON(none_as_null=True), nullable=False),
        sa.Column("watch_free", sa.Integer(), nullable=False),
        sa.Column("watch_busy", sa.Integer(), nullable=False),
        sa.CheckConstraint("kind IN ('therapist', 'assistant')", name=op.f("ck_staff_version_kind")),
        sa.CheckConstraint("watch_busy BETWEEN 0 AND watch_free", name=op.f("ck_staff_version_watch_busy")),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_staff_version_staff_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_staff_version")),
        sa.UniqueConstraint("staff_id", "digest", name=op.f("uq_staff_version_staff_id_digest")),
        sa.UniqueConstraint("staff_id", "version", name=op.f("uq_staff_version_staff_id_version")),
    )
    op.create_table(
        "weekly_hours",
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("start_min", sa.Integer(), nullable=False),
        sa.Column("end_min", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "start_min >= 0 AND end_min > start_min AND end_min <= 1440", name=op.f("ck_weekly_hours_start_min_end_min")
        ),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name=op.f("ck_weekly_hours_weekday")),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_weekly_hours_staff_id")),
        sa.PrimaryKeyConstraint("staff_id", "weekday", "start_min", name=op.f("pk_weekly_hours")),
    )
    op.create_table(
        "weekly_break",
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("start_min", sa.Integer(), nullable=False),
        sa.Column("end_min", sa.Integer(), nullable=False),
        sa.CheckConstraint("minutes >= 1", name=op.f("ck_weekly_break_minutes")),
        sa.CheckConstraint(
            "start_min >= 0 AND end_min > start_min AND end_min <= 1440", name=op.f("ck_weekly_break_start_min_end_min")
        ),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name=op.f("ck_weekly_break_weekday")),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_weekly_break_staff_id")),
        sa.PrimaryKeyConstraint("staff_id", "weekday", "position", name=op.f("pk_weekly_break")),
    )
    op.create_table(
        "absence",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.Column("starts_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint("ends_at > starts_at", name=op.f("ck_absence_ends_at")),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_absence_staff_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_absence")),
    )
    op.create_index(op.f("ix_absence_staff_id"), "absence", ["staff_id"], unique=False)
