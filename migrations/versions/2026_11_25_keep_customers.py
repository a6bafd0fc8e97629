"""Keep customers, and make them of the orders that a shop has already."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "5c1f0b7d9a36"
down_revision = "5b1f0c7a92de"
branch_labels = None
depends_on = None

LAST_NINE = (
    "CASE WHEN length({0}.phone_digits) > 9 THEN substr({0}.phone_digits, length({0}.phone_digits) - 8)"
    " ELSE {0}.phone_digits END"
)
HAS_ONE = "orders.phone_digits <> '' AND orders.customer_folded <> 'over the counter'"

# One customer for each name with each number, as the latest of their orders has them.
MAKE_CUSTOMERS = f"""
    INSERT INTO customer (name, name_folded, phone_digits, last_order_at)
    SELECT customer, customer_folded, phone_digits, taken_at FROM (
        SELECT customer, customer_folded, phone_digits, taken_at, row_number() OVER (
            PARTITION BY customer_folded, {LAST_NINE.format("orders")} ORDER BY taken_at DESC, id DESC
        ) AS place
        FROM orders WHERE {HAS_ONE}
    ) AS latest
    WHERE place = 1
"""
GIVE_ORDERS = f"""
    UPDATE orders SET customer_id = (
        SELECT customer.id FROM customer
        WHERE customer.name_folded = orders.customer_folded
        AND {LAST_NINE.format("customer")} = {LAST_NINE.format("orders")}
    )
    WHERE {HAS_ONE}
"""
GIVE_PHONES = """
    INSERT INTO customer_phone (customer_id, shown)
    SELECT customer.id, max(orders.phone) FROM customer
    JOIN orders ON orders.customer_id = customer.id AND orders.phone_digits = customer.phone_digits
    GROUP BY customer.id
"""


def upgrade() -> None:
    op.create_table(
        "customer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("name_folded", sa.Text(), nullable=False),
        sa.Column("phone_digits", sa.Text(), nullable=False),
        sa.Column("last_order_at", types.UtcSeconds(), nullable=True),
        sa.Column("merged_into_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["merged_into_id"], ["customer.id"], name=op.f("fk_customer_merged_into_id_customer")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_customer_name_folded"), "customer", ["name_folded"])
    op.create_index(
        "ix_customer_latest", "customer", ["merged_into_id", "last_order_at", "phone_digits", "name_folded"]
    )
    op.create_table(
        "customer_phone",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("shown", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["customer_id"],
            ["customer.id"],
            name=op.f("fk_customer_phone_customer_id_customer"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer_phone")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_customer_phone_customer_id"), "customer_phone", ["customer_id"])
    # Written out, because SQLite takes a reference with a new column, but not after it.
    op.execute(
        "ALTER TABLE orders ADD COLUMN customer_id INTEGER"
        " CONSTRAINT fk_orders_customer_id_customer REFERENCES customer (id)"
    )
    op.create_index(op.f("ix_orders_customer_id"), "orders", ["customer_id"])
    for statement in (MAKE_CUSTOMERS, GIVE_ORDERS, GIVE_PHONES):
        op.execute(statement)


def downgrade() -> None:
    op.drop_index(op.f("ix_orders_customer_id"), "orders")
    op.execute("ALTER TABLE orders DROP COLUMN customer_id")
    op.drop_table("customer_phone")
    op.drop_table("customer")
