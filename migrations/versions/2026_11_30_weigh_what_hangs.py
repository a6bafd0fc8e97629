"""Weigh what hangs on each balloon: grams of gift or card on a design's part, on a line and in its batches.

Nothing hangs on what was sold before, so all rows get 0. Open orders are calculated again when a setting is saved
next; until then their tickets do not say what hangs on each balloon.
"""

import json

import sqlalchemy as sa
from alembic import context, op

from app.store import types

revision = "b7e31f2a9d60"
down_revision = "8d2f60b91c4e"
branch_labels = None
depends_on = None

COLUMNS = (("design_part", "hung_g"), ("order_line", "hung_g"), ("batch", "hung_g"), ("batch", "load_g"))

order_line = sa.table("order_line", sa.column("id", sa.Integer()), sa.column("parts", sa.Text()))


def upgrade() -> None:
    for table, column in COLUMNS:
        op.add_column(table, sa.Column(column, types.Real, nullable=False, server_default=sa.text("0.0")))
    if context.is_offline_mode():
        return  # a script is for a new store, which has no rows yet
    connection = op.get_bind()
    for row in connection.execute(sa.select(order_line.c.id, order_line.c.parts)).all():
        parts = json.dumps([part | {"hung_g": 0.0} for part in json.loads(row.parts)], ensure_ascii=False)
        connection.execute(sa.update(order_line).where(order_line.c.id == row.id).values(parts=parts))


def downgrade() -> None:
    for table, column in reversed(COLUMNS):
        op.drop_column(table, column)
