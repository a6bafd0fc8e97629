"""Say where in the holding area an order stands. Of orders from before, nobody knows it."""

import sqlalchemy as sa
from alembic import op

revision = "a37c5b08e9d2"
down_revision = "d4f8a61c03e7"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("orders", sa.Column("holding_place", sa.Text(), nullable=True))


def downgrade() -> None:
    op.drop_column("orders", "holding_place")
