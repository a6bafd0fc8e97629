"""What goes into it and what it costs: supplies, designs as they are built, bills, payments, hired goods."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "9f3b7c15d2a8"
down_revision = "8a4e6f20c9d3"
branch_labels = None
depends_on = None

CHECKED = (
    # table, column, type and what stands in rows that exist, check
    ("kind", "rated_in", "{real}", "rated_in > 0"),
    ("kind", "pack_size", "INTEGER DEFAULT 1 NOT NULL", "pack_size > 0"),
    ("kind", "pack_minor", "INTEGER DEFAULT 0 NOT NULL", "pack_minor >= 0"),
    ("orders", "tax_mode", "TEXT DEFAULT 'none' NOT NULL", "tax_mode IN ('none', 'inclusive', 'on top')"),
    ("batch", "spares", "INTEGER DEFAULT 0 NOT NULL", "spares >= 0"),
)


def _plain() -> tuple[tuple[str, sa.Column], ...]:  # type: ignore[type-arg]
    """Columns without a check, by table."""

    def text(name: str, default: str) -> sa.Column[str]:
        return sa.Column(name, sa.Text(), server_default=default, nullable=False)

    def json(name: str, default: str) -> sa.Column[str]:
        return sa.Column(name, types.Json(), server_default=default, nullable=False)

    def minor(name: str) -> sa.Column[int]:
        return sa.Column(name, sa.Integer(), server_default="0", nullable=False)

    def moment(name: str) -> sa.Column[int]:
        return sa.Column(name, types.UtcSeconds(), nullable=True)

    return (
        ("kind", text("shape", "round")),
        ("kind", moment("retired_at")),
        ("design", sa.Column("computed", types.Flag(), server_default="0", nullable=False)),
        ("design", json("steps", "[]")),
        ("design", json("seasons", "[]")),
        ("design", json("build", "{}")),
        ("order_line", json("recipe", "{}")),
        ("orders", text("discount", "")),
        ("orders", minor("discount_minor")),
        ("orders", sa.Column("tax_percent", types.Real, server_default="0", nullable=False)),
        ("orders", minor("tax_minor")),
        ("orders", minor("deposit_asked_minor")),
        ("orders", minor("hire_deposit_minor")),
        ("orders", json("cost", "[]")),
        ("orders", sa.Column("cost_minor", sa.Integer(), nullable=True)),
        ("orders", moment("return_by")),
        ("orders", moment("take_down_at")),
    )


def upgrade() -> None:
    _keep_supplies()
    real = "DOUBLE PRECISION" if op.get_bind().dialect.name == "postgresql" else "REAL"
    for table, column, type_, check in CHECKED:
        op.execute(
            f"ALTER TABLE {table} ADD COLUMN {column} {type_.format(real=real)}"
            f" CONSTRAINT ck_{table}_{column} CHECK ({check})"
        )
    for table, plain in _plain():
        op.add_column(table, plain)
    for column in ("return_by", "take_down_at"):
        op.create_index(op.f(f"ix_orders_{column}"), "orders", [column])
    _keep_money()
    _keep_hires()


def _keep_supplies() -> None:
    op.create_table(
        "supply",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("sort", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("pack_size", types.Real, nullable=False),
        sa.Column("pack_minor", sa.Integer(), nullable=False),
        sa.Column("price_minor", sa.Integer(), nullable=True),
        sa.Column("grams", types.Real, nullable=True),
        sa.Column("width_cm", types.Real, nullable=True),
        sa.Column("deposit_minor", sa.Integer(), nullable=False),
        sa.Column("retired_at", types.UtcSeconds(), nullable=True),
        sa.CheckConstraint(
            "sort IN ('weight', 'ribbon', 'plush', 'bag', 'treatment', 'modelling', 'hired', 'other')",
            name=op.f("ck_supply_sort"),
        ),
        sa.CheckConstraint("unit IN ('piece', 'metre', 'millilitre')", name=op.f("ck_supply_unit")),
        sa.CheckConstraint(
            "pack_size > 0 AND pack_minor >= 0 AND price_minor >= 0 AND deposit_minor >= 0",
            name=op.f("ck_supply_money"),
        ),
        sa.CheckConstraint("grams > 0 AND width_cm > 0", name=op.f("ck_supply_figures")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_supply")),
        sa.UniqueConstraint("name", name=op.f("uq_supply_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "design_supply",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("design_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("supply_id", sa.Integer(), nullable=False),
        sa.Column("quantity", types.Real, nullable=False),
        sa.CheckConstraint("quantity > 0", name=op.f("ck_design_supply_quantity")),
        sa.ForeignKeyConstraint(
            ["design_id"], ["design.id"], name=op.f("fk_design_supply_design_id_design"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["supply_id"], ["supply.id"], name=op.f("fk_design_supply_supply_id_supply")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_design_supply")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_design_supply_design_id"), "design_supply", ["design_id"])


def _keep_money() -> None:
    op.create_table(
        "order_extra",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("sort", sa.Text(), nullable=False),
        sa.Column("supply_id", sa.Integer(), nullable=True),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("unit_minor", sa.Integer(), nullable=False),
        sa.Column("deposit_minor", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "sort IN ('supply', 'hire', 'delivery', 'set-up', 'take-down', 'other')",
            name=op.f("ck_order_extra_sort"),
        ),
        sa.CheckConstraint(
            "quantity > 0 AND unit_minor >= 0 AND deposit_minor >= 0", name=op.f("ck_order_extra_figures")
        ),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_order_extra_order_id_orders"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["supply_id"], ["supply.id"], name=op.f("fk_order_extra_supply_id_supply")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_order_extra")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_order_extra_order_id"), "order_extra", ["order_id"])
    op.create_table(
        "payment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("direction", sa.Text(), nullable=False),
        sa.Column("hire", types.Flag(), nullable=False),
        sa.Column("amount_minor", sa.Integer(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        *_made_and_undone(),
        sa.CheckConstraint("direction IN ('in', 'back')", name=op.f("ck_payment_direction")),
        sa.CheckConstraint("how IN ('cash', 'card', 'transfer', 'other')", name=op.f("ck_payment_how")),
        sa.CheckConstraint("amount_minor > 0", name=op.f("ck_payment_amount")),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_payment_order_id_orders"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_payment")),
        sa.UniqueConstraint("client_key", name=op.f("uq_payment_client_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_payment_order_id"), "payment", ["order_id"])


def _made_and_undone() -> tuple[sa.Column, ...]:  # type: ignore[type-arg]
    return (
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("undone_at", types.UtcSeconds(), nullable=True),
        sa.Column("undone_by", sa.Text(), nullable=True),
    )


def _keep_hires() -> None:
    op.create_table(
        "hire",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("supply_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("deposit_minor", sa.Integer(), nullable=False),
        sa.CheckConstraint("quantity >= 0 AND deposit_minor >= 0", name=op.f("ck_hire_figures")),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_hire_order_id_orders"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["supply_id"], ["supply.id"], name=op.f("fk_hire_supply_id_supply")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hire")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_hire_order_id"), "hire", ["order_id"])
    op.create_table(
        "hire_return",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("hire_id", sa.Integer(), nullable=False),
        sa.Column("back", sa.Integer(), nullable=False),
        sa.Column("lost", sa.Integer(), nullable=False),
        sa.Column("kept_minor", sa.Integer(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        *_made_and_undone(),
        sa.CheckConstraint("back >= 0 AND lost >= 0 AND kept_minor >= 0", name=op.f("ck_hire_return_figures")),
        sa.ForeignKeyConstraint(
            ["hire_id"], ["hire.id"], name=op.f("fk_hire_return_hire_id_hire"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hire_return")),
        sa.UniqueConstraint("client_key", name=op.f("uq_hire_return_client_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_hire_return_hire_id"), "hire_return", ["hire_id"])


def downgrade() -> None:
    for table in ("hire_return", "hire", "payment", "order_extra", "design_supply", "supply"):
        op.drop_table(table)
    for column in ("return_by", "take_down_at"):
        op.drop_index(op.f(f"ix_orders_{column}"), "orders")
    for table, plain in reversed(_plain()):
        op.drop_column(table, plain.name)
    for table, column, *_ in reversed(CHECKED):
        op.execute(f"ALTER TABLE {table} DROP COLUMN {column}")
