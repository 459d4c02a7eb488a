"""Treatments, patients and courses."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.create_table(
        "treatment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("is_retired", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_treatment_clinic_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_treatment")),
        sa.UniqueConstraint("clinic_id", "code", name=op.f("uq_treatment_clinic_id_code")),
    )
    op.create_table(
        "treatment_version",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("treatment_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("same_unit", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["treatment_id"], ["treatment.id"], name=op.f("fk_treatment_version_treatment_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_treatment_version")),
        sa.UniqueConstraint("treatment_id", "digest", name=op.f("uq_treatment_version_treatment_id_digest")),
        sa.UniqueConstraint("treatment_id", "version", name=op.f("uq_treatment_version_treatment_id_version")),
    )
    op.create_index(op.f("ix_treatment_version_digest"), "treatment_version", ["digest"], unique=False)
    op.create_table(
        "treatment_part",
        sa.Column("treatment_version_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("channels", sa.JSON(none_as_null=True), nullable=False),
        sa.Column("suction_kpa", sa.Integer(), nullable=True),
        sa.Column("skill", sa.String(), nullable=True),
        sa.Column("any_unit", sa.Boolean(), nullable=False),
        sa.Column("max_wait_min", sa.Integer(), nullable=True),
        sa.CheckConstraint("max_wait_min >= 0", name=op.f("ck_treatment_part_max_wait_min")),
        sa.CheckConstraint("suction_kpa >= 0", name=op.f("ck_treatment_part_suction_kpa")),
        sa.ForeignKeyConstraint(
            ["treatment_version_id"], ["treatment_version.id"], name=op.f("fk_treatment_part_treatment_version_id")
        ),
        sa.PrimaryKeyConstraint("treatment_version_id", "part", name=op.f("pk_treatment_part")),
        sa.UniqueConstraint("treatment_version_id", "code", name=op.f("uq_treatment_part_treatment_version_id_code")),
    )
    op.create_table(
        "treatment_phase",
        sa.Column("treatment_version_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Integer(), nullable=False),
        sa.Column("phase", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("hands", sa.String(), nullable=False),
        sa.Column("is_running", sa.Boolean(), nullable=False),
        sa.CheckConstraint("hands IN ('therapist', 'anyone', 'nobody')", name=op.f("ck_treatment_phase_hands")),
        sa.CheckConstraint("minutes >= 1", name=op.f("ck_treatment_phase_minutes")),
        sa.ForeignKeyConstraint(
            ["treatment_version_id", "part"],
            ["treatment_part.treatment_version_id", "treatment_part.part"],
            name=op.f("fk_treatment_phase_treatment_version_id_part"),
        ),
        sa.PrimaryKeyConstraint("treatment_version_id", "part", "phase", name=op.f("pk_treatment_phase")),
    )
    op.create_table(
        "part_applicator",
        sa.Column("treatment_version_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Integer(), nullable=False),
        sa.Column("applicator_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.CheckConstraint("count >= 1", name=op.f("ck_part_applicator_count")),
        sa.ForeignKeyConstraint(["applicator_id"], ["applicator.id"], name=op.f("fk_part_applicator_applicator_id")),
        sa.ForeignKeyConstraint(
            ["treatment_version_id", "part"],
            ["treatment_part.treatment_version_id", "treatment_part.part"],
            name=op.f("fk_part_applicator_treatment_version_id_part"),
        ),
        sa.PrimaryKeyConstraint("treatment_version_id", "part", "applicator_id", name=op.f("pk_part_applicator")),
    )
    op.create_table(
        "part_unit",
        sa.Column("treatment_version_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["treatment_version_id", "part"],
            ["treatment_part.treatment_version_id", "treatment_part.part"],
            name=op.f("fk_part_unit_treatment_version_id_part"),
        ),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_part_unit_unit_id")),
        sa.PrimaryKeyConstraint("treatment_version_id", "part", "unit_id", name=op.f("pk_part_unit")),
    )
    op.create_table(
        "patient",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clinic_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["clinic_id"], ["clinic.id"], name=op.f("fk_patient_clinic_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_patient")),
        sa.UniqueConstraint("clinic_id", "code", name=op.f("uq_patient_clinic_id_code")),
    )
    op.create_table(
        "course",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("patient_id", sa.Integer(), nullable=False),
        sa.Column("treatment_version_id", sa.Integer(), nullable=False),
        sa.Column("sessions", sa.Integer(), nullable=False),
        sa.Column("least_days", sa.Integer(), nullable=False),
        sa.Column("most_days", sa.Integer(), nullable=False),
        sa.CheckConstraint("least_days >= 0 AND most_days >= least_days", name=op.f("ck_course_days")),
        sa.CheckConstraint("sessions >= 1", name=op.f("ck_course_sessions")),
        sa.ForeignKeyConstraint(["patient_id"], ["patient.id"], name=op.f("fk_course_patient_id")),
        sa.ForeignKeyConstraint(
            ["treatment_version_id"], ["treatment_version.id"], name=op.f("fk_course_treatment_version_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_course")),
    )
    op.create_index(op.f("ix_course_patient_id"), "course", ["patient_id"], unique=False)
