"""Let a crew fill at the venue, and a part of an order be handed over later."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "93e1c2aba124"
down_revision = "899436b62c48"
branch_labels = None
depends_on = None

BEFORE, AFTER = "hand_over IN ('collect', 'deliver')", "hand_over IN ('collect', 'deliver', 'venue')"


def upgrade() -> None:
    op.add_column("batch", sa.Column("later", types.Flag(), nullable=False, server_default="0"))
    op.add_column("batch", sa.Column("ready_by", types.UtcSeconds(), nullable=False, server_default="0"))
    op.execute("UPDATE batch SET ready_by = (SELECT ready_by FROM orders WHERE orders.id = batch.order_id)")
    op.add_column("order_line", sa.Column("later", types.Flag(), nullable=False, server_default="0"))
    op.add_column("tap", sa.Column("later", types.Flag(), nullable=False, server_default="0"))
    op.add_column("orders", sa.Column("later_at", types.UtcSeconds(), nullable=True))
    for whole in ("set_up_minutes", "hanging_minutes", "crew", "venue_minor"):
        op.add_column("orders", sa.Column(whole, sa.Integer(), nullable=False, server_default="0"))
    op.create_index(op.f("ix_orders_later_at"), "orders", ["later_at"])
    _hand_over_is(AFTER)


def downgrade() -> None:
    op.execute("UPDATE orders SET hand_over = 'deliver' WHERE hand_over = 'venue'")
    _hand_over_is(BEFORE)
    op.drop_index(op.f("ix_orders_later_at"), "orders")
    for column in ("venue_minor", "crew", "hanging_minutes", "set_up_minutes", "later_at"):
        op.drop_column("orders", column)
    op.drop_column("tap", "later")
    op.drop_column("order_line", "later")
    op.drop_column("batch", "ready_by")
    op.drop_column("batch", "later")


def _hand_over_is(rule: str) -> None:
    """SQLite cannot change a CHECK: the table is made anew with it."""
    with op.batch_alter_table("orders", table_kwargs={"sqlite_strict": True}) as orders:
        orders.drop_constraint(op.f("ck_orders_hand_over"), type_="check")
        orders.create_check_constraint(op.f("ck_orders_hand_over"), rule)
