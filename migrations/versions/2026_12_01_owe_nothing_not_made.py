"""Ask for no payment for an order that was not made and of which nothing was handed over.

The flag “unpaid” of such orders is lowered. An older version raises it again for those whose price and security
deposits are more than what was paid.
"""

from alembic import op

revision = "d92f47b0a6c1"
down_revision = "b16d4e93a702"
branch_labels = None
depends_on = None

NOT_MADE = """
state = 'open' AND not_made_at IS NOT NULL AND NOT EXISTS (
    SELECT 1 FROM tap
    WHERE tap.order_id = orders.id AND batch_id IS NULL AND act = 'handed over' AND undone_at IS NULL
)
"""
DEPOSITS = """
coalesce((SELECT sum(quantity * deposit_minor) FROM rental WHERE rental.order_id = orders.id), 0)
"""
PAID = """
coalesce((
    SELECT sum(CASE WHEN direction = 'in' THEN amount_minor ELSE -amount_minor END) FROM payment
    WHERE payment.order_id = orders.id AND payment.undone_at IS NULL
), 0)
"""


def upgrade() -> None:
    op.execute(f"UPDATE orders SET unpaid = 0 WHERE {NOT_MADE}")


def downgrade() -> None:
    op.execute(f"UPDATE orders SET unpaid = 1 WHERE {NOT_MADE} AND total_minor + {DEPOSITS} > {PAID}")
