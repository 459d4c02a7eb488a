"""Sessions, addresses that work once, and whom of the staff an account is for."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    with op.batch_alter_table("account") as account:
        account.add_column(sa.Column("staff_id", sa.Integer(), nullable=True))
        account.create_foreign_key(op.f("fk_account_staff_id"), "staff", ["staff_id"], ["id"])
    op.create_table(
        "account_session",
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["account_id"], ["account.id"], name=op.f("fk_account_session_account_id")),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_account_session")),
    )
    op.create_index(op.f("ix_account_session_account_id"), "account_session", ["account_id"], unique=False)
    op.create_table(
        "one_time_address",
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("purpose", sa.String(), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("purpose IN ('sign-in', 'password')", name=op.f("ck_one_time_address_purpose")),
        sa.ForeignKeyConstraint(["account_id"], ["account.id"], name=op.f("fk_one_time_address_account_id")),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_one_time_address")),
    )
    op.create_index(op.f("ix_one_time_address_account_id"), "one_time_address", ["account_id"], unique=False)
