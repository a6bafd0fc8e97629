"""Say why and when an order was cancelled, and which fee the shop keeps.

Orders that were cancelled before get the moment from their history, no reason and no fee. Quick sales that were
undone get nothing.
"""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "c18e5a7d20b4"
down_revision = "b57c0e93d1f8"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("orders", sa.Column("cancelled_at", types.UtcSeconds(), nullable=True))
    op.add_column("orders", sa.Column("cancel_reason", sa.Text(), nullable=False, server_default=""))
    op.add_column("orders", sa.Column("cancel_fee_minor", sa.Integer(), nullable=False, server_default="0"))
    op.create_index(op.f("ix_orders_cancelled_at"), "orders", ["cancelled_at"])
    op.execute(
        "UPDATE orders SET cancelled_at ="
        " (SELECT max(at) FROM history_entry WHERE order_id = orders.id AND act = 'cancelled')"
        " WHERE state = 'cancelled'"
    )


def downgrade() -> None:
    op.drop_index(op.f("ix_orders_cancelled_at"), table_name="orders")
    op.drop_column("orders", "cancel_fee_minor")
    op.drop_column("orders", "cancel_reason")
    op.drop_column("orders", "cancelled_at")
