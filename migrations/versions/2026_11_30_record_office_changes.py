"""Record what is changed in the office: who, when, what from and to."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "d4f8a61c03e7"
down_revision = "e41d7b0c58a2"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "office_change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("changes", types.Json(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_office_change")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_office_change_subject"), "office_change", ["subject"])


def downgrade() -> None:
    op.drop_index(op.f("ix_office_change_subject"), table_name="office_change")
    op.drop_table("office_change")
