"""Let the shop say how its own colours look."""

import sqlalchemy as sa
from alembic import op

from app.quoting.states import Finish
from app.store import types

revision = "7a3e9c51d8b6"
down_revision = "a37c5b08e9d2"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "own_colour",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("fill", sa.Text(), nullable=False),
        sa.Column("finish", types.EnumText(Finish), nullable=False),
        sa.CheckConstraint(
            "finish IN ('plain', 'metallic', 'clear', 'patterned', 'unknown')", name=op.f("ck_own_colour_finish")
        ),
        sa.CheckConstraint("length(fill) = 7 AND substr(fill, 1, 1) = '#'", name=op.f("ck_own_colour_fill")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_own_colour")),
        sqlite_strict=True,
    )


def downgrade() -> None:
    op.drop_table("own_colour")
