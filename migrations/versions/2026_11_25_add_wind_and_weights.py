"""Add the wind told for an order's venue, and the weight that holds each balloon of a batch outdoors.

Batches laid before have none until their order is changed or worked out anew.
"""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "5c1d7a90be34"
down_revision = "93e1c2aba124"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("orders", sa.Column("wind_m_s", types.Real, nullable=True))
    op.add_column("batch", sa.Column("weight_g", types.Real, nullable=True))


def downgrade() -> None:
    op.drop_column("batch", "weight_g")
    op.drop_column("orders", "wind_m_s")
