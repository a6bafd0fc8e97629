"""Let the index of orders by time hold all that a search by name, phone or number reads."""

from alembic import op

revision = "0b7f4a6de158"
down_revision = "f81b3c6d20e9"
branch_labels = None
depends_on = None

INDEX = "ix_orders_ready_by"


def upgrade() -> None:
    op.drop_index(INDEX, "orders")
    op.create_index(INDEX, "orders", ["ready_by", "id", "customer_folded", "phone_digits", "number"])


def downgrade() -> None:
    op.drop_index(INDEX, "orders")
    op.create_index(INDEX, "orders", ["ready_by"])
