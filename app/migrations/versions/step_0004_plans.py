"""Plans, and what they hold; two rows that hold one thing at once are refused."""

import sqlalchemy as sa
from alembic import op

from app.db.guards import refuse_overlaps

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.create_table(
        "saved_plan",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("is_current", sa.Boolean(), nullable=False),
        sa.Column("status", sa.String(), nullable=False),
        sa.Column("scores", sa.JSON(none_as_null=True), nullable=False),
        sa.Column("bounds", sa.JSON(none_as_null=True), nullable=False),
        sa.Column("saved_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("status IN ('optimal', 'feasible')", name=op.f("ck_saved_plan_status")),
        sa.ForeignKeyConstraint(["day_id"], ["clinic_day.id"], name=op.f("fk_saved_plan_day_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_saved_plan")),
        sa.UniqueConstraint("day_id", "version", name=op.f("uq_saved_plan_day_id_version")),
        sa.UniqueConstraint("id", "day_id", "is_current", name=op.f("uq_saved_plan_id_day_id_is_current")),
    )
    op.create_index(
        "uq_saved_plan_current",
        "saved_plan",
        ["day_id"],
        unique=True,
        sqlite_where=sa.text("is_current = true"),
        postgresql_where=sa.text("is_current = true"),
    )
    op.create_table(
        "visit_placed",
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("visit_id", sa.Integer(), nullable=False),
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("is_current", sa.Boolean(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("therapist_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["plan_id", "day_id", "is_current"],
            ["saved_plan.id", "saved_plan.day_id", "saved_plan.is_current"],
            name=op.f("fk_visit_placed_plan_id_day_id_is_current"),
            onupdate="CASCADE",
        ),
        sa.ForeignKeyConstraint(["therapist_id"], ["staff.id"], name=op.f("fk_visit_placed_therapist_id")),
        sa.ForeignKeyConstraint(
            ["visit_id", "day_id"],
            ["booked_visit.id", "booked_visit.day_id"],
            name=op.f("fk_visit_placed_visit_id_day_id"),
        ),
        sa.PrimaryKeyConstraint("plan_id", "visit_id", name=op.f("pk_visit_placed")),
        sa.UniqueConstraint(
            "plan_id",
            "visit_id",
            "day_id",
            "is_current",
            name=op.f("uq_visit_placed_plan_id_visit_id_day_id_is_current"),
        ),
    )
    op.create_table(
        "part_placed",
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("visit_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Integer(), nullable=False),
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("is_current", sa.Boolean(), nullable=False),
        sa.Column("start_min", sa.Integer(), nullable=False),
        sa.Column("end_min", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=False),
        sa.Column("bay_id", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "start_min >= 0 AND end_min > start_min AND end_min <= 1440", name=op.f("ck_part_placed_start_min_end_min")
        ),
        sa.ForeignKeyConstraint(["bay_id"], ["bay.id"], name=op.f("fk_part_placed_bay_id")),
        sa.ForeignKeyConstraint(
            ["plan_id", "visit_id", "day_id", "is_current"],
            ["visit_placed.plan_id", "visit_placed.visit_id", "visit_placed.day_id", "visit_placed.is_current"],
            name=op.f("fk_part_placed_plan_id_visit_id_day_id_is_current"),
            onupdate="CASCADE",
        ),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_part_placed_unit_id")),
        sa.PrimaryKeyConstraint("plan_id", "visit_id", "part", name=op.f("pk_part_placed")),
        sa.UniqueConstraint(
            "plan_id", "visit_id", "part", "day_id", "is_current", "start_min", "end_min", name="uq_part_placed_whole"
        ),
    )
    op.create_index("ix_part_placed_bay", "part_placed", ["day_id", "bay_id"], unique=False)
    op.create_table(
        "held_channel",
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("visit_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Integer(), nullable=False),
        sa.Column("channel_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("output", sa.String(), nullable=False),
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("is_current", sa.Boolean(), nullable=False),
        sa.Column("start_min", sa.Integer(), nullable=False),
        sa.Column("end_min", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "start_min >= 0 AND end_min > start_min AND end_min <= 1440", name=op.f("ck_held_channel_start_min_end_min")
        ),
        sa.ForeignKeyConstraint(["channel_id"], ["channel.id"], name=op.f("fk_held_channel_channel_id")),
        sa.ForeignKeyConstraint(
            ["plan_id", "visit_id", "part", "day_id", "is_current", "start_min", "end_min"],
            [
                "part_placed.plan_id",
                "part_placed.visit_id",
                "part_placed.part",
                "part_placed.day_id",
                "part_placed.is_current",
                "part_placed.start_min",
                "part_placed.end_min",
            ],
            name="fk_held_channel_part",
            onupdate="CASCADE",
        ),
        sa.PrimaryKeyConstraint("plan_id", "visit_id", "part", "channel_id", name=op.f("pk_held_channel")),
    )
    op.create_index("ix_held_channel_channel", "held_channel", ["day_id", "channel_id"], unique=False)
    op.create_table(
        "held_item",
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("visit_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Integer(), nullable=False),
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("is_current", sa.Boolean(), nullable=False),
        sa.Column("start_min", sa.Integer(), nullable=False),
        sa.Column("end_min", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "start_min >= 0 AND end_min > start_min AND end_min <= 1440", name=op.f("ck_held_item_start_min_end_min")
        ),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_held_item_item_id")),
        sa.ForeignKeyConstraint(
            ["plan_id", "visit_id", "part", "day_id", "is_current", "start_min", "end_min"],
            [
                "part_placed.plan_id",
                "part_placed.visit_id",
                "part_placed.part",
                "part_placed.day_id",
                "part_placed.is_current",
                "part_placed.start_min",
                "part_placed.end_min",
            ],
            name="fk_held_item_part",
            onupdate="CASCADE",
        ),
        sa.PrimaryKeyConstraint("plan_id", "visit_id", "part", "item_id", name=op.f("pk_held_item")),
    )
    op.create_index("ix_held_item_item", "held_item", ["day_id", "item_id"], unique=False)
    op.create_table(
        "held_hands",
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("visit_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Integer(), nullable=False),
        sa.Column("phase", sa.Integer(), nullable=False),
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("is_current", sa.Boolean(), nullable=False),
        sa.Column("start_min", sa.Integer(), nullable=False),
        sa.Column("end_min", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "start_min >= 0 AND end_min > start_min AND end_min <= 1440", name=op.f("ck_held_hands_start_min_end_min")
        ),
        sa.ForeignKeyConstraint(
            ["plan_id", "visit_id", "day_id", "is_current"],
            ["visit_placed.plan_id", "visit_placed.visit_id", "visit_placed.day_id", "visit_placed.is_current"],
            name=op.f("fk_held_hands_plan_id_visit_id_day_id_is_current"),
            onupdate="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["plan_id", "visit_id", "part"],
            ["part_placed.plan_id", "part_placed.visit_id", "part_placed.part"],
            name=op.f("fk_held_hands_plan_id_visit_id_part"),
        ),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_held_hands_staff_id")),
        sa.PrimaryKeyConstraint("plan_id", "visit_id", "part", "phase", name=op.f("pk_held_hands")),
    )
    op.create_index("ix_held_hands_staff", "held_hands", ["day_id", "staff_id"], unique=False)
    op.create_table(
        "planned_break",
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("is_current", sa.Boolean(), nullable=False),
        sa.Column("start_min", sa.Integer(), nullable=False),
        sa.Column("end_min", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "start_min >= 0 AND end_min > start_min AND end_min <= 1440",
            name=op.f("ck_planned_break_start_min_end_min"),
        ),
        sa.ForeignKeyConstraint(
            ["plan_id", "day_id", "is_current"],
            ["saved_plan.id", "saved_plan.day_id", "saved_plan.is_current"],
            name=op.f("fk_planned_break_plan_id_day_id_is_current"),
            onupdate="CASCADE",
        ),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_planned_break_staff_id")),
        sa.PrimaryKeyConstraint("plan_id", "position", name=op.f("pk_planned_break")),
    )
    op.create_table(
        "left_out_visit",
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("visit_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("reasons", sa.JSON(none_as_null=True), nullable=False),
        sa.ForeignKeyConstraint(["plan_id"], ["saved_plan.id"], name=op.f("fk_left_out_visit_plan_id")),
        sa.ForeignKeyConstraint(["visit_id"], ["booked_visit.id"], name=op.f("fk_left_out_visit_visit_id")),
        sa.PrimaryKeyConstraint("plan_id", "visit_id", name=op.f("pk_left_out_visit")),
    )
    refuse_overlaps(op.get_bind(), "held_channel", "channel_id")
    refuse_overlaps(op.get_bind(), "held_item", "item_id")
    refuse_overlaps(op.get_bind(), "held_hands", "staff_id")
    refuse_overlaps(op.get_bind(), "part_placed", "bay_id")
    refuse_overlaps(op.get_bind(), "planned_break", "staff_id")
