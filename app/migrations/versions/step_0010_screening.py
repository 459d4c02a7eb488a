"""What the clinician answered to the questions that were asked when a visit was booked."""

from alembic import op

revision = "0010"
down_revision = "0009"

_COLUMN = (
    "screening VARCHAR NOT NULL DEFAULT '' "
    "CONSTRAINT ck_booked_visit_screening CHECK (screening IN ('', 'not_seen', 'decided'))"
)


def upgrade() -> None:
    op.execute(f"ALTER TABLE booked_visit ADD COLUMN {_COLUMN}")
