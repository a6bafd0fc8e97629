"""What is on hand: lots and their moves, deliveries, helium cylinders and their gauges, photos."""

from typing import Any

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "0fe7f1019ee9"
down_revision = "9f3b7c15d2a8"
branch_labels = None
depends_on = None

TABLES = ("lot", "cylinder", "delivery", "photo", "cylinder_reading", "photo_image", "stock_move")
"""Each after those that it points at."""
INDEXES = (
    ("ix_lot_kind_id_received_on", "lot", ["kind_id", "received_on"]),
    ("ix_lot_supply_id_received_on", "lot", ["supply_id", "received_on"]),
    ("ix_cylinder_order_id", "cylinder", ["order_id"]),
    ("ix_delivery_due_on", "delivery", ["due_on"]),
    ("ix_photo_design_id", "photo", ["design_id"]),
    ("ix_photo_order_id", "photo", ["order_id"]),
    ("ix_cylinder_reading_cylinder_id", "cylinder_reading", ["cylinder_id"]),
    ("ix_cylinder_reading_at", "cylinder_reading", ["at"]),
    ("ix_cylinder_reading_order_id", "cylinder_reading", ["order_id"]),
    ("ix_stock_move_lot_id", "stock_move", ["lot_id"]),
    ("ix_stock_move_batch_id", "stock_move", ["batch_id"]),
    ("ix_stock_move_order_id", "stock_move", ["order_id"]),
    ("ix_tap_at", "tap", ["at"]),
)


def upgrade() -> None:
    _keep_lots()
    _keep_cylinders()
    _keep_photos()
    for name, table, columns in INDEXES:
        op.create_index(name, table, columns)
    op.add_column("orders", sa.Column("short_reason", sa.Text(), server_default="", nullable=False))


def downgrade() -> None:
    op.execute("ALTER TABLE orders DROP COLUMN short_reason")
    for name, table, _ in INDEXES:
        op.drop_index(name, table)
    for table in reversed(TABLES):
        op.drop_table(table)


def _keep_lots() -> None:
    _table(
        "lot",
        *_of_goods("lot"),
        sa.Column("received_on", types.Day(), nullable=False),
        _real("arrived"),
        _real("on_hand"),
        _moment("set_aside_at", nullable=True),
        sa.Column("set_aside_why", sa.Text(), server_default="", nullable=False),
        _check("lot", "arrived", "arrived > 0"),
    )
    _table(
        "delivery",
        *_of_goods("delivery"),
        sa.Column("packs", sa.Integer(), nullable=False),
        _real("pieces"),
        sa.Column("due_on", types.Day(), nullable=False),
        _moment("noted_at"),
        _text("who"),
        *_points_at("delivery", "lot_id", "lot", "SET NULL", nullable=True),
        _moment("withdrawn_at", nullable=True),
        _check("delivery", "figures", "packs > 0 AND pieces > 0"),
    )
    _table(
        "stock_move",
        *_points_at("stock_move", "lot_id", "lot", "CASCADE"),
        _text("sort"),
        _real("change"),
        _text("why"),
        *_points_at("stock_move", "batch_id", "batch", "SET NULL", nullable=True),
        *_points_at("stock_move", "order_id", "orders", "SET NULL", nullable=True),
        _moment("at"),
        _text("who"),
        _check("stock_move", "sort", "sort IN ('received', 'filled', 'burst', 'handed over', 'counted', 'used')"),
    )


def _of_goods(table: str) -> tuple[Any, ...]:
    """A kind in a colour, or a supply."""
    return (
        *_with_key(table),
        *_points_at(table, "kind_id", "kind", None, nullable=True),
        *_points_at(table, "supply_id", "supply", None, nullable=True),
        _text("colour"),
        _text("colour_folded"),
        _check(table, "one_thing", "(kind_id IS NULL) <> (supply_id IS NULL)"),
    )


def _keep_cylinders() -> None:
    _table(
        "cylinder",
        *_with_key("cylinder"),
        _text("name"),
        _real("water_l"),
        _real("full_bar"),
        _real("purity_percent"),
        _text("state"),
        sa.Column("came_on", types.Day(), nullable=False),
        *_points_at("cylinder", "order_id", "orders", "SET NULL", nullable=True),
        _check("cylinder", "figures", "water_l > 0 AND full_bar > 0"),
        _check("cylinder", "purity", "purity_percent > 0 AND purity_percent <= 100"),
        _check("cylinder", "state", "state IN ('full', 'in use', 'empty', 'gone back')"),
    )
    _table(
        "cylinder_reading",
        *_with_key("cylinder_reading"),
        *_points_at("cylinder_reading", "cylinder_id", "cylinder", "CASCADE"),
        _real("bar"),
        _real("celsius"),
        _text("state"),
        *_points_at("cylinder_reading", "order_id", "orders", "SET NULL", nullable=True),
        _moment("at"),
        _text("who"),
        _moment("undone_at", nullable=True),
        sa.Column("undone_by", sa.Text(), nullable=True),
        _check("cylinder_reading", "bar", "bar >= 0"),
        _check("cylinder_reading", "state", "state IN ('full', 'in use', 'empty', 'gone back')"),
    )


def _keep_photos() -> None:
    _table(
        "photo",
        *_with_key("photo"),
        _text("key"),
        *_points_at("photo", "design_id", "design", "CASCADE", nullable=True),
        *_points_at("photo", "order_id", "orders", "CASCADE", nullable=True),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        _moment("at"),
        _text("who"),
        sa.UniqueConstraint("key", name="uq_photo_key"),
        _check("photo", "of_something", "design_id IS NOT NULL OR order_id IS NOT NULL"),
        _check("photo", "size", "width > 0 AND height > 0"),
    )
    op.create_table(
        "photo_image",
        sa.Column("photo_id", sa.Integer(), autoincrement=False, nullable=False),
        _text("size"),
        sa.Column("jpeg", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["photo_id"], ["photo.id"], name=op.f("fk_photo_image_photo_id_photo"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("photo_id", "size", name=op.f("pk_photo_image")),
        _check("photo_image", "size", "size IN ('whole', 'small')"),
        sqlite_strict=True,
    )


def _table(name: str, *columns: Any) -> None:
    number = sa.Column("id", sa.Integer(), nullable=False)
    op.create_table(
        name, number, *columns, sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{name}")), sqlite_strict=True
    )


def _with_key(table: str) -> tuple[Any, ...]:
    return _text("client_key"), sa.UniqueConstraint("client_key", name=op.f(f"uq_{table}_client_key"))


def _points_at(
    table: str, column: str, at: str, ondelete: str | None, *, nullable: bool = False
) -> tuple[Any, ...]:
    name = op.f(f"fk_{table}_{column}_{at}")
    points = sa.ForeignKeyConstraint([column], [f"{at}.id"], name=name, ondelete=ondelete)
    return sa.Column(column, sa.Integer(), nullable=nullable), points


def _check(table: str, name: str, holds: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(holds, name=op.f(f"ck_{table}_{name}"))


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=False)


def _real(name: str) -> sa.Column[float]:
    return sa.Column(name, types.Real, nullable=False)


def _moment(name: str, *, nullable: bool = False) -> sa.Column[Any]:
    return sa.Column(name, types.UtcSeconds(), nullable=nullable)
