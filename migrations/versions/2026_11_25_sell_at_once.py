"""Sell at once: what a line is (sold, the customer's own filled, topped up), and what a kind's services cost."""

from alembic import op

revision = "5b1f0c7a92de"
down_revision = "5c1d7a90be34"
branch_labels = None
depends_on = None

COLUMNS = (
    # table, column, type and what stands in rows that exist, check
    ("kind", "fill_minor", "INTEGER", "fill_minor >= 0"),
    ("kind", "top_up_minor", "INTEGER", "top_up_minor >= 0"),
    ("order_line", "service", "TEXT DEFAULT 'sold' NOT NULL", "service IN ('sold', 'own', 'top-up')"),
)


def upgrade() -> None:
    """In words of SQL: SQLite adds a check only together with its column."""
    for table, column, type_, check in COLUMNS:
        op.execute(
            f"ALTER TABLE {table} ADD COLUMN {column} {type_} CONSTRAINT ck_{table}_{column} CHECK ({check})"
        )


def downgrade() -> None:
    """A check of a single column goes with it."""
    for table, column, *_ in reversed(COLUMNS):
        op.execute(f"ALTER TABLE {table} DROP COLUMN {column}")
