"""Swap parts of a design on an order's line: what it has instead of its own balloons."""

import sqlalchemy as sa
from alembic import op

revision = "b57c0e93d1f8"
down_revision = "b7e31f2a9d60"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("order_line", sa.Column("swaps", sa.Text(), nullable=False, server_default="[]"))


def downgrade() -> None:
    op.drop_column("order_line", "swaps")
