"""Keep the plan of the bench as it was last worked out, and why an order was taken that it did not fit."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "8a4e6f20c9d3"
down_revision = "7d20c4f1e8ab"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "bench_plan",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("board_version", sa.Integer(), nullable=False),
        sa.Column("made_at", types.UtcSeconds(), nullable=False),
        sa.Column("told", types.Json(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_bench_plan_only_one")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bench_plan")),
        sqlite_strict=True,
    )
    op.create_table(
        "planned_start",
        sa.Column("batch_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("starts_at", types.UtcSeconds(), nullable=False),
        sa.ForeignKeyConstraint(
            ["batch_id"], ["batch.id"], name=op.f("fk_planned_start_batch_id_batch"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("batch_id", name=op.f("pk_planned_start")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_planned_start_starts_at"), "planned_start", ["starts_at"])
    op.add_column("orders", sa.Column("bench_reason", sa.Text(), server_default="", nullable=False))


def downgrade() -> None:
    op.drop_column("orders", "bench_reason")
    op.drop_table("planned_start")
    op.drop_table("bench_plan")
