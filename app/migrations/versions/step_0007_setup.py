"""Set-up: which version of a thing is the current one, and how often each thing was changed."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    for table in ("unit", "applicator", "place", "staff"):
        op.add_column(table, sa.Column("current_version", sa.Integer(), nullable=True))
        op.add_column(table, sa.Column("set_up_version", sa.Integer(), nullable=False, server_default="0"))
    op.add_column("clinic", sa.Column("set_up_version", sa.Integer(), nullable=False, server_default="0"))
