"""Create the tables, and the counters that numbers are drawn from."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "899436b62c48"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    counter = op.create_table(
        "counter",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_counter")),
        sqlite_strict=True,
    )
    op.create_table(
        "design",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("price_minor", sa.Integer(), nullable=False),
        sa.Column("assembly_minutes", types.Real, nullable=False),
        sa.Column("retired_at", types.UtcSeconds(), nullable=True),
        sa.CheckConstraint("price_minor >= 0 AND assembly_minutes >= 0", name=op.f("ck_design_figures")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_design")),
        sa.UniqueConstraint("name", name=op.f("uq_design_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "kind",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("material", sa.Text(), nullable=False),
        sa.Column("nominal_in", types.Real, nullable=False),
        sa.Column("mass_g", types.Real, nullable=False),
        sa.Column("helium_l", types.Real, nullable=True),
        sa.Column("median_hours", types.Real, nullable=True),
        sa.Column("size_factor", types.Real, nullable=False),
        sa.Column("air_only", types.Flag(), nullable=False),
        sa.Column("price_minor", sa.Integer(), nullable=False),
        sa.CheckConstraint("material IN ('latex', 'foil', 'sphere')", name=op.f("ck_kind_material")),
        sa.CheckConstraint(
            "nominal_in > 0 AND mass_g > 0 AND size_factor > 0 AND price_minor >= 0", name=op.f("ck_kind_figures")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_kind")),
        sa.UniqueConstraint("name", name=op.f("uq_kind_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "opening_exception",
        sa.Column("day", types.Day(), nullable=False),
        sa.Column("opens", sa.Integer(), nullable=True),
        sa.Column("closes", sa.Integer(), nullable=True),
        sa.CheckConstraint("(opens IS NULL) = (closes IS NULL)", name=op.f("ck_opening_exception_both")),
        sa.CheckConstraint(
            "opens >= 0 AND opens < closes AND closes <= 1439", name=op.f("ck_opening_exception_hours")
        ),
        sa.PrimaryKeyConstraint("day", name=op.f("pk_opening_exception")),
        sqlite_strict=True,
    )
    op.create_table(
        "opening_weekday",
        sa.Column("weekday", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("opens", sa.Integer(), nullable=False),
        sa.Column("closes", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "opens >= 0 AND opens < closes AND closes <= 1439", name=op.f("ck_opening_weekday_hours")
        ),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name=op.f("ck_opening_weekday_weekday")),
        sa.PrimaryKeyConstraint("weekday", name=op.f("pk_opening_weekday")),
        sqlite_strict=True,
    )
    op.create_table(
        "orders",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("customer", sa.Text(), nullable=False),
        sa.Column("customer_folded", sa.Text(), nullable=False),
        sa.Column("phone", sa.Text(), nullable=False),
        sa.Column("phone_digits", sa.Text(), nullable=False),
        sa.Column("occasion", sa.Text(), nullable=False),
        sa.Column("event_start", types.UtcSeconds(), nullable=True),
        sa.Column("lasts_until", types.UtcSeconds(), nullable=True),
        sa.Column("surroundings", sa.Text(), nullable=False),
        sa.Column("venue_celsius", types.Real, nullable=True),
        sa.Column("venue_elevation_m", types.Real, nullable=True),
        sa.Column("hand_over", sa.Text(), nullable=False),
        sa.Column("ready_by", types.UtcSeconds(), nullable=False),
        sa.Column("arrives_at", types.UtcSeconds(), nullable=True),
        sa.Column("travel_minutes", sa.Integer(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("word", sa.Text(), nullable=False),
        sa.Column("total_minor", sa.Integer(), nullable=False),
        sa.Column("tail_minutes", sa.Integer(), nullable=False),
        sa.Column("first_fill_by", types.UtcSeconds(), nullable=True),
        sa.Column("batches_laid", sa.Integer(), nullable=False),
        sa.Column("taken_at", types.UtcSeconds(), nullable=False),
        sa.Column("handed_over_at", types.UtcSeconds(), nullable=True),
        sa.CheckConstraint("hand_over IN ('collect', 'deliver')", name=op.f("ck_orders_hand_over")),
        sa.CheckConstraint("occasion IN ('event', 'until', 'now')", name=op.f("ck_orders_occasion")),
        sa.CheckConstraint("state IN ('open', 'handed over', 'cancelled')", name=op.f("ck_orders_state")),
        sa.CheckConstraint("surroundings IN ('indoors', 'shade', 'sun')", name=op.f("ck_orders_surroundings")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_orders")),
        sa.UniqueConstraint("client_key", name=op.f("uq_orders_client_key")),
        sa.UniqueConstraint("number", name=op.f("uq_orders_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("orders", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_orders_handed_over_at"), ["handed_over_at"], unique=False)
        batch_op.create_index(batch_op.f("ix_orders_phone_digits"), ["phone_digits"], unique=False)
        batch_op.create_index("ix_orders_state_ready_by", ["state", "ready_by"], unique=False)

    op.create_table(
        "setting",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("value", types.Json(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_setting")),
        sqlite_strict=True,
    )
    op.create_table(
        "staff_member",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_staff_member")),
        sa.UniqueConstraint("name", name=op.f("uq_staff_member_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "batch",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.Column("kind_name", sa.Text(), nullable=False),
        sa.Column("material", sa.Text(), nullable=False),
        sa.Column("gas", sa.Text(), nullable=False),
        sa.Column("treated", types.Flag(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("colours", types.Json(), nullable=False),
        sa.Column("fill_size_in", types.Real, nullable=False),
        sa.Column("fill_share", types.Real, nullable=False),
        sa.Column("fill_why", types.Json(), nullable=False),
        sa.Column("work_minutes", sa.Integer(), nullable=False),
        sa.Column("not_before", types.UtcSeconds(), nullable=True),
        sa.Column("inflate_by", types.UtcSeconds(), nullable=False),
        sa.Column("chance", types.Real, nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("float_plan", types.Json(), nullable=False),
        sa.Column("started_at", types.UtcSeconds(), nullable=True),
        sa.Column("started_as", types.Json(), nullable=True),
        sa.Column("filled", sa.Integer(), nullable=False),
        sa.Column("filled_at", types.UtcSeconds(), nullable=True),
        sa.Column("bursts", types.Json(), nullable=False),
        sa.CheckConstraint("quantity >= 0 AND filled >= 0", name=op.f("ck_batch_counts")),
        sa.ForeignKeyConstraint(["kind_id"], ["kind.id"], name=op.f("fk_batch_kind_id_kind")),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_batch_order_id_orders"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_batch")),
        sa.UniqueConstraint("key", name=op.f("uq_batch_key")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("batch", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_batch_filled_at"), ["filled_at"], unique=False)
        batch_op.create_index("ix_batch_inflate_by", ["inflate_by"], unique=False)
        batch_op.create_index(batch_op.f("ix_batch_order_id"), ["order_id"], unique=False)

    op.create_table(
        "design_part",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("design_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.Column("gas", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("colours", types.Json(), nullable=False),
        sa.CheckConstraint("quantity > 0", name=op.f("ck_design_part_quantity")),
        sa.ForeignKeyConstraint(
            ["design_id"], ["design.id"], name=op.f("fk_design_part_design_id_design"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["kind_id"], ["kind.id"], name=op.f("fk_design_part_kind_id_kind")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_design_part")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("design_part", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_design_part_design_id"), ["design_id"], unique=False)

    op.create_table(
        "history_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("order_version", sa.Integer(), nullable=False),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("changes", types.Json(), nullable=False),
        sa.Column("told", types.Json(), nullable=False),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_history_entry_order_id_orders"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_history_entry")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("history_entry", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_history_entry_order_id"), ["order_id"], unique=False)

    op.create_table(
        "order_line",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=True),
        sa.Column("design_id", sa.Integer(), nullable=True),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("gas", sa.Text(), nullable=False),
        sa.Column("treated", types.Flag(), nullable=False),
        sa.Column("colours", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("unit_minor", sa.Integer(), nullable=False),
        sa.Column("assembly_minutes", types.Real, nullable=False),
        sa.Column("parts", types.Json(), nullable=False),
        sa.CheckConstraint("(kind_id IS NULL) <> (design_id IS NULL)", name=op.f("ck_order_line_one_thing")),
        sa.CheckConstraint("quantity > 0 AND unit_minor >= 0", name=op.f("ck_order_line_figures")),
        sa.ForeignKeyConstraint(["design_id"], ["design.id"], name=op.f("fk_order_line_design_id_design")),
        sa.ForeignKeyConstraint(["kind_id"], ["kind.id"], name=op.f("fk_order_line_kind_id_kind")),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_order_line_order_id_orders"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_order_line")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("order_line", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_order_line_order_id"), ["order_id"], unique=False)

    op.create_table(
        "tap",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("batch_id", sa.Integer(), nullable=True),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("colour", sa.Text(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("undone_at", types.UtcSeconds(), nullable=True),
        sa.Column("undone_by", sa.Text(), nullable=True),
        sa.CheckConstraint("count >= 0", name=op.f("ck_tap_count")),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name=op.f("fk_tap_batch_id_batch"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_tap_order_id_orders"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tap")),
        sa.UniqueConstraint("client_key", name=op.f("uq_tap_client_key")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("tap", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_tap_batch_id"), ["batch_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_tap_order_id"), ["order_id"], unique=False)
    op.bulk_insert(counter, [{"name": "order", "value": 1000}, {"name": "board", "value": 1}])


def downgrade() -> None:
    with op.batch_alter_table("tap", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_tap_order_id"))
        batch_op.drop_index(batch_op.f("ix_tap_batch_id"))

    op.drop_table("tap")
    with op.batch_alter_table("order_line", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_order_line_order_id"))

    op.drop_table("order_line")
    with op.batch_alter_table("history_entry", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_history_entry_order_id"))

    op.drop_table("history_entry")
    with op.batch_alter_table("design_part", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_design_part_design_id"))

    op.drop_table("design_part")
    with op.batch_alter_table("batch", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_batch_order_id"))
        batch_op.drop_index("ix_batch_inflate_by")
        batch_op.drop_index(batch_op.f("ix_batch_filled_at"))

    op.drop_table("batch")
    op.drop_table("staff_member")
    op.drop_table("setting")
    with op.batch_alter_table("orders", schema=None) as batch_op:
        batch_op.drop_index("ix_orders_state_ready_by")
        batch_op.drop_index(batch_op.f("ix_orders_phone_digits"))
        batch_op.drop_index(batch_op.f("ix_orders_handed_over_at"))

    op.drop_table("orders")
    op.drop_table("opening_weekday")
    op.drop_table("opening_exception")
    op.drop_table("kind")
    op.drop_table("design")
    op.drop_table("counter")
