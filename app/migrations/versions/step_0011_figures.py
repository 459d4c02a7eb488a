"""What a day's plan uses is kept beside the day."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"


def upgrade() -> None:
    op.create_table(
        "day_figures",
        sa.Column("day_id", sa.Integer(), nullable=False),
        sa.Column("day_version", sa.Integer(), nullable=False),
        sa.Column("sums", sa.JSON(none_as_null=True), nullable=False),
        sa.ForeignKeyConstraint(["day_id"], ["clinic_day.id"], name=op.f("fk_day_figures_day_id")),
        sa.PrimaryKeyConstraint("day_id", name=op.f("pk_day_figures")),
    )
