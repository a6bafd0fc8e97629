"""Let the shop say on which days it is closed, with the reason, once or in every year."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "5c81e6d09f34"
down_revision = "d92f47b0a6c1"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "closed_days",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("first", types.DateColumn(), nullable=False),
        sa.Column("last", types.DateColumn(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("yearly", types.Flag(), nullable=False),
        sa.CheckConstraint("last >= first", name=op.f("ck_closed_days_range")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_closed_days")),
        sqlite_strict=True,
    )


def downgrade() -> None:
    op.drop_table("closed_days")
