"""Say why an order was late or not made, and find orders by when they were taken."""

from alembic import op

revision = "e5c20a91f7d3"
down_revision = "5c81e6d09f34"
branch_labels = None
depends_on = None


def upgrade() -> None:
    reasons = "'staff', 'stock', 'started too late', 'customer late'"
    check = f"CONSTRAINT ck_orders_late_reason CHECK (late_reason IN ({reasons}))"
    op.execute(f"ALTER TABLE orders ADD COLUMN late_reason TEXT {check}")
    op.create_index(op.f("ix_orders_taken_at"), "orders", ["taken_at"])


def downgrade() -> None:
    op.drop_index(op.f("ix_orders_taken_at"), table_name="orders")
    op.drop_column("orders", "late_reason")
