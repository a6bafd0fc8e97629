"""Say since when it is known that an order was not made in time."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "e41d7b0c58a2"
down_revision = "d41c7e9b0a35"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("orders", sa.Column("not_made_at", types.UtcSeconds(), nullable=True))


def downgrade() -> None:
    op.drop_column("orders", "not_made_at")
