"""Say where in the holding area a later part stands. Until now it was saved as the place of the whole order."""

import sqlalchemy as sa
from alembic import op

revision = "c58e0f7a12d4"
down_revision = "f3a86d20b915"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("orders", sa.Column("later_holding_place", sa.Text(), nullable=True))


def downgrade() -> None:
    op.drop_column("orders", "later_holding_place")
