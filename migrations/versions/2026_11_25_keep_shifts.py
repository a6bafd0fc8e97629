"""Keep shifts: hands at the bench by weekday, and on single dates."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "7d20c4f1e8ab"
down_revision = "6e2a9c41d7f0"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for table, column, checks in (
        ("weekday_shift", sa.Column("weekday", sa.Integer(), nullable=False), ("weekday BETWEEN 0 AND 6",)),
        ("day_shift", sa.Column("day", types.Day(), nullable=False), ()),
    ):
        op.create_table(
            table,
            sa.Column("id", sa.Integer(), nullable=False),
            column,
            sa.Column("starts", sa.Integer(), nullable=False),
            sa.Column("ends", sa.Integer(), nullable=False),
            sa.Column("hands", sa.Integer(), nullable=False),
            *(sa.CheckConstraint(check, name=op.f(f"ck_{table}_{column.name}")) for check in checks),
            sa.CheckConstraint("starts >= 0 AND starts < ends AND ends <= 1439", name=op.f(f"ck_{table}_hours")),
            sa.CheckConstraint("hands >= 0", name=op.f(f"ck_{table}_hands")),
            sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
            sqlite_strict=True,
        )
        op.create_index(op.f(f"ix_{table}_{column.name}"), table, [column.name])


def downgrade() -> None:
    op.drop_table("day_shift")
    op.drop_table("weekday_shift")
