"""Keep what was done to a customer: who, when and what."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "6e2a9c41d7f0"
down_revision = "5c1f0b7d9a36"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "customer_history",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("changes", types.Json(), nullable=False),
        sa.ForeignKeyConstraint(
            ["customer_id"],
            ["customer.id"],
            name=op.f("fk_customer_history_customer_id_customer"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer_history")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_customer_history_customer_id"), "customer_history", ["customer_id"])


def downgrade() -> None:
    op.drop_table("customer_history")
