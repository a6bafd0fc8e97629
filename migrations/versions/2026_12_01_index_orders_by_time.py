"""Index orders by when they leave, so that a page of the list is read without sorting all of them."""

from alembic import op

revision = "f3a86d20b915"
down_revision = "7a3e9c51d8b6"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_index("ix_orders_ready_by", "orders", ["ready_by"])


def downgrade() -> None:
    op.drop_index("ix_orders_ready_by", "orders")
