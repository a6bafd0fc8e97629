"""Sell by the foot: how much of a supply one extra is. What was sold before is one of the unit that is counted."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "5b0d9c27e4f1"
down_revision = "c18e5a7d20b4"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("order_extra", sa.Column("of_one", types.Real, nullable=False, server_default=sa.text("1.0")))


def downgrade() -> None:
    op.drop_column("order_extra", "of_one")
