"""Index what pages look for among all orders: what is open, what is there, and what comes.

Each order gets two flags: whether something is still to pay, and whether something is still to come back. For the
orders that there are, they are calculated here.
"""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "b16d4e93a702"
down_revision = "c58e0f7a12d4"
branch_labels = None
depends_on = None

UNRETURNED = """
UPDATE orders SET unreturned = 1
WHERE state <> 'cancelled' AND (
    EXISTS (
        SELECT 1 FROM rental WHERE rental.order_id = orders.id AND rental.quantity > (
            SELECT coalesce(sum(back + lost), 0) FROM rental_return
            WHERE rental_return.rental_id = rental.id AND rental_return.undone_at IS NULL
        )
    )
    OR take_down_at IS NOT NULL AND NOT EXISTS (
        SELECT 1 FROM tap
        WHERE tap.order_id = orders.id AND batch_id IS NULL AND act = 'cut and binned' AND undone_at IS NULL
    )
)
"""
PAID = """
    coalesce((
        SELECT sum(CASE WHEN direction = 'in' THEN amount_minor ELSE -amount_minor END) FROM payment
        WHERE payment.order_id = orders.id AND payment.undone_at IS NULL
    ), 0)
"""
HELD = """
    coalesce((
        SELECT sum((CASE WHEN quantity > returned THEN quantity - returned ELSE 0 END) * deposit_minor + kept)
        FROM (
            SELECT rental.order_id, rental.quantity, rental.deposit_minor,
                coalesce(sum(back + lost), 0) AS returned, coalesce(sum(kept_minor), 0) AS kept
            FROM rental LEFT JOIN rental_return
                ON rental_return.rental_id = rental.id AND rental_return.undone_at IS NULL
            WHERE rental.order_id = orders.id
            GROUP BY rental.id, rental.order_id, rental.quantity, rental.deposit_minor
        ) AS held
    ), 0)
"""
UNPAID = f"""
UPDATE orders SET unpaid = 1
WHERE NOT (occasion = 'now' AND coalesce(handed_over_at = taken_at, 1 = 0)) AND (
    state = 'cancelled' AND cancel_fee_minor > {PAID}
    OR state <> 'cancelled' AND total_minor + {HELD} > {PAID}
    AND NOT (cost_minor IS NULL AND state = 'handed over' AND NOT EXISTS (
        SELECT 1 FROM payment WHERE payment.order_id = orders.id AND payment.undone_at IS NULL
    ))
)
"""
PARTS = (
    ("ix_orders_unpaid_ready_by", "orders", ["unpaid", "ready_by"], "unpaid = 1"),
    ("ix_orders_unreturned", "orders", ["unreturned"], "unreturned = 1"),
    ("ix_lot_balloon_type_id_there", "lot", ["balloon_type_id"], "on_hand <> 0"),
    ("ix_lot_supply_id_there", "lot", ["supply_id"], "on_hand <> 0"),
    ("ix_tap_batch_id", "tap", ["batch_id"], "batch_id IS NOT NULL"),
)
WHOLES = (
    ("ix_orders_event_start", "orders", ["event_start"]),
    ("ix_orders_arrives_at", "orders", ["arrives_at"]),
    ("ix_lot_colour", "lot", ["colour"]),
    ("ix_lot_balloon_type_id_colour", "lot", ["balloon_type_id", "colour_folded", "colour"]),
    ("ix_lot_supply_id_colour", "lot", ["supply_id", "colour_folded", "colour"]),
)


def upgrade() -> None:
    for name in ("unpaid", "unreturned"):
        op.add_column("orders", sa.Column(name, types.Flag(), nullable=False, server_default="0"))
    op.execute(UNRETURNED)
    op.execute(UNPAID)
    op.drop_index("ix_tap_batch_id", "tap")
    for name, table, columns, condition in PARTS:
        op.create_index(name, table, columns, **types.only_where(condition))
    for name, table, columns in WHOLES:
        op.create_index(name, table, columns)


def downgrade() -> None:
    for name, table, *_ in (*WHOLES, *PARTS):
        op.drop_index(name, table)
    op.create_index("ix_tap_batch_id", "tap", ["batch_id"])
    for name in ("unreturned", "unpaid"):
        op.drop_column("orders", name)
