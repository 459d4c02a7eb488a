"""What a treatment carries besides its scheduling, courses as prescribed, and what the desk asks of a patient.

A column with its constraints is added in one statement that both databases know, so that no table is made anew. The
digest of a version is of all that it says from now on, so its uniqueness stands; what files ask for has its own.
"""

import sqlalchemy as sa
from alembic import op

from app.db.folding import sought_text

revision = "0008"
down_revision = "0007"

_TEXT = "VARCHAR NOT NULL DEFAULT ''"
_ADDED = (
    ("treatment", "patient_id INTEGER CONSTRAINT fk_treatment_patient_id REFERENCES patient (id)"),
    ("treatment", "version INTEGER NOT NULL DEFAULT 1"),
    ("treatment", "edition INTEGER NOT NULL DEFAULT 1"),
    ("treatment_version", f"scheduling_digest {_TEXT}"),
    ("treatment_version", f"body_site {_TEXT}"),
    (
        "treatment_version",
        "based_on_id INTEGER CONSTRAINT fk_treatment_version_based_on_id REFERENCES treatment_version (id)",
    ),
    ("treatment_version", f"prescribed_by {_TEXT}"),
    ("treatment_version", "prescribed_on DATE"),
    ("treatment_version", f"note {_TEXT}"),
    ("treatment_part", f"mode {_TEXT}"),
    ("treatment_part", "duty VARCHAR"),
    ("treatment_part", "intensity_low FLOAT CONSTRAINT ck_treatment_part_intensity_low CHECK (intensity_low >= 0)"),
    ("treatment_part", "intensity_high FLOAT CONSTRAINT ck_treatment_part_intensity_high CHECK (intensity_high >= 0)"),
    ("treatment_part", f"intensity_unit {_TEXT}"),
    ("treatment_part", f"placement {_TEXT}"),
    ("treatment_part", "preparation JSON NOT NULL DEFAULT '[]'"),
    ("course", "weekdays JSON"),
    ("course", "hours JSON"),
    ("course", "therapist_id INTEGER CONSTRAINT fk_course_therapist_id REFERENCES staff (id)"),
    ("course", "priority INTEGER NOT NULL DEFAULT 1 CONSTRAINT ck_course_priority CHECK (priority >= 1)"),
    ("course", f"prescribed_by {_TEXT}"),
    ("course", "prescribed_on DATE"),
    (
        "course",
        "status VARCHAR NOT NULL DEFAULT 'open' "
        "CONSTRAINT ck_course_status CHECK (status IN ('open', 'finished', 'ended'))",
    ),
    ("course", "version INTEGER NOT NULL DEFAULT 1"),
    ("patient", f"phone {_TEXT}"),
    ("patient", f"note {_TEXT}"),
    ("patient", f"sought {_TEXT}"),
    ("patient", "version INTEGER NOT NULL DEFAULT 1"),
)


def upgrade() -> None:
    for table, column in _ADDED:
        op.execute(f"ALTER TABLE {table} ADD COLUMN {column}")
    op.execute("UPDATE treatment_version SET scheduling_digest = digest")
    op.create_index("ix_treatment_patient_id", "treatment", ["patient_id"])
    op.create_index("ix_treatment_version_scheduling_digest", "treatment_version", ["scheduling_digest"])
    patients = op.get_bind().execute(sa.text("SELECT id, name, code FROM patient")).all()
    for id, name, code in patients:
        changed = {"id": id, "sought": sought_text(name, code)}
        op.get_bind().execute(sa.text("UPDATE patient SET sought = :sought WHERE id = :id"), changed)
