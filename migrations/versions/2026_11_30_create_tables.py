"""Create the tables, and the counters that numbers are allocated from."""

import sqlalchemy as sa
from alembic import op

from app.store import types

revision = "4c1e8d27b5a0"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "balloon_type",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("material", sa.Text(), nullable=False),
        sa.Column("shape", sa.Text(), nullable=False),
        sa.Column("nominal_in", types.Real, nullable=False),
        sa.Column("mass_g", types.Real, nullable=False),
        sa.Column("helium_l", types.Real, nullable=True),
        sa.Column("median_hours", types.Real, nullable=True),
        sa.Column("size_factor", types.Real, nullable=False),
        sa.Column("air_only", types.Flag(), nullable=False),
        sa.Column("price_minor", sa.Integer(), nullable=False),
        sa.Column("fill_minor", sa.Integer(), nullable=True),
        sa.Column("top_up_minor", sa.Integer(), nullable=True),
        sa.Column("rated_in", types.Real, nullable=True),
        sa.Column("pack_size", sa.Integer(), nullable=False),
        sa.Column("pack_minor", sa.Integer(), nullable=False),
        sa.Column("archived_at", types.UtcSeconds(), nullable=True),
        sa.CheckConstraint("material IN ('latex', 'foil', 'sphere')", name=op.f("ck_balloon_type_material")),
        sa.CheckConstraint(
            "nominal_in > 0 AND mass_g > 0 AND size_factor > 0 AND rated_in > 0",
            name=op.f("ck_balloon_type_figures"),
        ),
        sa.CheckConstraint("pack_size > 0 AND pack_minor >= 0", name=op.f("ck_balloon_type_pack")),
        sa.CheckConstraint(
            "price_minor >= 0 AND fill_minor >= 0 AND top_up_minor >= 0", name=op.f("ck_balloon_type_prices")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_balloon_type")),
        sa.UniqueConstraint("name", name=op.f("uq_balloon_type_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "bench_plan",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("board_version", sa.Integer(), nullable=False),
        sa.Column("made_at", types.UtcSeconds(), nullable=False),
        sa.Column("content", types.Json(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_bench_plan_only_one")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bench_plan")),
        sqlite_strict=True,
    )
    counter = op.create_table(
        "counter",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_counter")),
        sqlite_strict=True,
    )
    op.create_table(
        "customer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("name_folded", sa.Text(), nullable=False),
        sa.Column("phone_digits", sa.Text(), nullable=False),
        sa.Column("last_order_at", types.UtcSeconds(), nullable=True),
        sa.Column("latex_allergy", types.Flag(), nullable=False),
        sa.Column("merged_into_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["merged_into_id"], ["customer.id"], name=op.f("fk_customer_merged_into_id_customer")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer")),
        sqlite_strict=True,
    )
    op.create_index(
        "ix_customer_latest", "customer", ["merged_into_id", "last_order_at", "phone_digits", "name_folded"]
    )
    op.create_index(op.f("ix_customer_name_folded"), "customer", ["name_folded"])

    op.create_table(
        "day_shift",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("day", types.DateColumn(), nullable=False),
        sa.Column("starts", sa.Integer(), nullable=False),
        sa.Column("ends", sa.Integer(), nullable=False),
        sa.Column("staff", sa.Integer(), nullable=False),
        sa.CheckConstraint("staff >= 0", name=op.f("ck_day_shift_staff")),
        sa.CheckConstraint("starts >= 0 AND starts < ends AND ends <= 1439", name=op.f("ck_day_shift_hours")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_day_shift")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_day_shift_day"), "day_shift", ["day"])

    op.create_table(
        "design",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("price_minor", sa.Integer(), nullable=False),
        sa.Column("assembly_minutes", types.Real, nullable=False),
        sa.Column("archived_at", types.UtcSeconds(), nullable=True),
        sa.Column("computed", types.Flag(), nullable=False),
        sa.Column("steps", types.Json(), nullable=False),
        sa.Column("seasons", types.Json(), nullable=False),
        sa.Column("build", types.Json(), nullable=False),
        sa.CheckConstraint("price_minor >= 0 AND assembly_minutes >= 0", name=op.f("ck_design_figures")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_design")),
        sa.UniqueConstraint("name", name=op.f("uq_design_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "opening_exception",
        sa.Column("day", types.DateColumn(), nullable=False),
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
        sa.Column("archived_at", types.UtcSeconds(), nullable=True),
        sa.CheckConstraint(
            "sort IN ('weight', 'ribbon', 'plush', 'bag', 'treatment', 'modelling', 'rental', 'other')",
            name=op.f("ck_supply_sort"),
        ),
        sa.CheckConstraint("unit IN ('piece', 'metre', 'millilitre')", name=op.f("ck_supply_unit")),
        sa.CheckConstraint("grams > 0 AND width_cm > 0", name=op.f("ck_supply_figures")),
        sa.CheckConstraint(
            "pack_size > 0 AND pack_minor >= 0 AND price_minor >= 0 AND deposit_minor >= 0",
            name=op.f("ck_supply_money"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_supply")),
        sa.UniqueConstraint("name", name=op.f("uq_supply_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "weekday_shift",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("starts", sa.Integer(), nullable=False),
        sa.Column("ends", sa.Integer(), nullable=False),
        sa.Column("staff", sa.Integer(), nullable=False),
        sa.CheckConstraint("staff >= 0", name=op.f("ck_weekday_shift_staff")),
        sa.CheckConstraint("starts >= 0 AND starts < ends AND ends <= 1439", name=op.f("ck_weekday_shift_hours")),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name=op.f("ck_weekday_shift_weekday")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_weekday_shift")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_weekday_shift_weekday"), "weekday_shift", ["weekday"])

    op.create_table(
        "customer_history",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("changes", types.Json(), nullable=False),
        sa.ForeignKeyConstraint(
            ["customer_id"],
            ["customer.id"],
            name=op.f("fk_customer_history_customer_id_customer"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer_history")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_customer_history_customer_id"), "customer_history", ["customer_id"])

    op.create_table(
        "customer_phone",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("shown", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["customer_id"],
            ["customer.id"],
            name=op.f("fk_customer_phone_customer_id_customer"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer_phone")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_customer_phone_customer_id"), "customer_phone", ["customer_id"])

    op.create_table(
        "design_part",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("design_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("balloon_type_id", sa.Integer(), nullable=False),
        sa.Column("gas", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("colours", types.Json(), nullable=False),
        sa.CheckConstraint("quantity > 0", name=op.f("ck_design_part_quantity")),
        sa.ForeignKeyConstraint(
            ["balloon_type_id"], ["balloon_type.id"], name=op.f("fk_design_part_balloon_type_id_balloon_type")
        ),
        sa.ForeignKeyConstraint(
            ["design_id"], ["design.id"], name=op.f("fk_design_part_design_id_design"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_design_part")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_design_part_design_id"), "design_part", ["design_id"])

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

    op.create_table(
        "lot",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("balloon_type_id", sa.Integer(), nullable=True),
        sa.Column("supply_id", sa.Integer(), nullable=True),
        sa.Column("colour", sa.Text(), nullable=False),
        sa.Column("colour_folded", sa.Text(), nullable=False),
        sa.Column("received_on", types.DateColumn(), nullable=False),
        sa.Column("arrived", types.Real, nullable=False),
        sa.Column("on_hand", types.Real, nullable=False),
        sa.Column("set_aside_at", types.UtcSeconds(), nullable=True),
        sa.Column("set_aside_why", sa.Text(), nullable=False),
        sa.CheckConstraint("(balloon_type_id IS NULL) <> (supply_id IS NULL)", name=op.f("ck_lot_one_thing")),
        sa.CheckConstraint("arrived > 0", name=op.f("ck_lot_arrived")),
        sa.ForeignKeyConstraint(
            ["balloon_type_id"], ["balloon_type.id"], name=op.f("fk_lot_balloon_type_id_balloon_type")
        ),
        sa.ForeignKeyConstraint(["supply_id"], ["supply.id"], name=op.f("fk_lot_supply_id_supply")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lot")),
        sa.UniqueConstraint("client_key", name=op.f("uq_lot_client_key")),
        sqlite_strict=True,
    )
    op.create_index("ix_lot_balloon_type_id_received_on", "lot", ["balloon_type_id", "received_on"])
    op.create_index("ix_lot_supply_id_received_on", "lot", ["supply_id", "received_on"])

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
        sa.Column("wind_m_s", types.Real, nullable=True),
        sa.Column("hand_over", sa.Text(), nullable=False),
        sa.Column("ready_by", types.UtcSeconds(), nullable=False),
        sa.Column("arrives_at", types.UtcSeconds(), nullable=True),
        sa.Column("travel_minutes", sa.Integer(), nullable=False),
        sa.Column("later_at", types.UtcSeconds(), nullable=True),
        sa.Column("set_up_minutes", sa.Integer(), nullable=False),
        sa.Column("hanging_minutes", sa.Integer(), nullable=False),
        sa.Column("crew", sa.Integer(), nullable=False),
        sa.Column("venue_minor", sa.Integer(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("latex_allergy", types.Flag(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("accepted_risk", sa.Text(), nullable=False),
        sa.Column("bench_override", sa.Text(), nullable=False),
        sa.Column("stock_override", sa.Text(), nullable=False),
        sa.Column("total_minor", sa.Integer(), nullable=False),
        sa.Column("finishing_minutes", sa.Integer(), nullable=False),
        sa.Column("first_fill_by", types.UtcSeconds(), nullable=True),
        sa.Column("batches_numbered", sa.Integer(), nullable=False),
        sa.Column("taken_at", types.UtcSeconds(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=True),
        sa.Column("handed_over_at", types.UtcSeconds(), nullable=True),
        sa.Column("discount", sa.Text(), nullable=False),
        sa.Column("discount_minor", sa.Integer(), nullable=False),
        sa.Column("tax_percent", types.Real, nullable=False),
        sa.Column("tax_mode", sa.Text(), nullable=False),
        sa.Column("tax_minor", sa.Integer(), nullable=False),
        sa.Column("deposit_asked_minor", sa.Integer(), nullable=False),
        sa.Column("rental_deposit_minor", sa.Integer(), nullable=False),
        sa.Column("cost", types.Json(), nullable=False),
        sa.Column("cost_minor", sa.Integer(), nullable=True),
        sa.Column("return_by", types.UtcSeconds(), nullable=True),
        sa.Column("take_down_at", types.UtcSeconds(), nullable=True),
        sa.CheckConstraint("hand_over IN ('collect', 'deliver', 'venue')", name=op.f("ck_orders_hand_over")),
        sa.CheckConstraint("occasion IN ('event', 'until', 'now')", name=op.f("ck_orders_occasion")),
        sa.CheckConstraint("state IN ('open', 'handed over', 'cancelled')", name=op.f("ck_orders_state")),
        sa.CheckConstraint("surroundings IN ('indoors', 'shade', 'sun')", name=op.f("ck_orders_surroundings")),
        sa.CheckConstraint("tax_mode IN ('none', 'inclusive', 'on top')", name=op.f("ck_orders_tax_mode")),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_orders_customer_id_customer")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_orders")),
        sa.UniqueConstraint("client_key", name=op.f("uq_orders_client_key")),
        sa.UniqueConstraint("number", name=op.f("uq_orders_number")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_orders_customer_id"), "orders", ["customer_id"])
    op.create_index(op.f("ix_orders_handed_over_at"), "orders", ["handed_over_at"])
    op.create_index(op.f("ix_orders_later_at"), "orders", ["later_at"])
    op.create_index(op.f("ix_orders_phone_digits"), "orders", ["phone_digits"])
    op.create_index(op.f("ix_orders_return_by"), "orders", ["return_by"])
    op.create_index("ix_orders_state_ready_by", "orders", ["state", "ready_by"])
    op.create_index(op.f("ix_orders_take_down_at"), "orders", ["take_down_at"])

    op.create_table(
        "batch",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("balloon_type_id", sa.Integer(), nullable=False),
        sa.Column("balloon_type_name", sa.Text(), nullable=False),
        sa.Column("material", sa.Text(), nullable=False),
        sa.Column("gas", sa.Text(), nullable=False),
        sa.Column("treated", types.Flag(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("spares", sa.Integer(), nullable=False),
        sa.Column("colours", types.Json(), nullable=False),
        sa.Column("fill_size_in", types.Real, nullable=False),
        sa.Column("fill_share", types.Real, nullable=False),
        sa.Column("fill_why", types.Json(), nullable=False),
        sa.Column("work_minutes", sa.Integer(), nullable=False),
        sa.Column("not_before", types.UtcSeconds(), nullable=True),
        sa.Column("inflate_by", types.UtcSeconds(), nullable=False),
        sa.Column("ready_by", types.UtcSeconds(), nullable=False),
        sa.Column("chance", types.Real, nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("float_plan", types.Json(), nullable=False),
        sa.Column("weight_g", types.Real, nullable=True),
        sa.Column("started_at", types.UtcSeconds(), nullable=True),
        sa.Column("started_as", types.Json(), nullable=True),
        sa.Column("filled", sa.Integer(), nullable=False),
        sa.Column("filled_at", types.UtcSeconds(), nullable=True),
        sa.Column("bursts", types.Json(), nullable=False),
        sa.CheckConstraint("material IN ('latex', 'foil', 'sphere')", name=op.f("ck_batch_material")),
        sa.CheckConstraint("part IN ('main', 'later')", name=op.f("ck_batch_part")),
        sa.CheckConstraint("quantity >= 0 AND filled >= 0 AND spares >= 0", name=op.f("ck_batch_counts")),
        sa.ForeignKeyConstraint(
            ["balloon_type_id"], ["balloon_type.id"], name=op.f("fk_batch_balloon_type_id_balloon_type")
        ),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_batch_order_id_orders"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_batch")),
        sa.UniqueConstraint("key", name=op.f("uq_batch_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_batch_filled_at"), "batch", ["filled_at"])
    op.create_index("ix_batch_inflate_by", "batch", ["inflate_by"])
    op.create_index(op.f("ix_batch_order_id"), "batch", ["order_id"])

    op.create_table(
        "cylinder",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("water_l", types.Real, nullable=False),
        sa.Column("full_bar", types.Real, nullable=False),
        sa.Column("purity_percent", types.Real, nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("came_on", types.DateColumn(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("state IN ('full', 'in use', 'empty', 'gone back')", name=op.f("ck_cylinder_state")),
        sa.CheckConstraint("purity_percent > 0 AND purity_percent <= 100", name=op.f("ck_cylinder_purity")),
        sa.CheckConstraint("water_l > 0 AND full_bar > 0", name=op.f("ck_cylinder_figures")),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_cylinder_order_id_orders"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cylinder")),
        sa.UniqueConstraint("client_key", name=op.f("uq_cylinder_client_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_cylinder_order_id"), "cylinder", ["order_id"])

    op.create_table(
        "delivery",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("balloon_type_id", sa.Integer(), nullable=True),
        sa.Column("supply_id", sa.Integer(), nullable=True),
        sa.Column("colour", sa.Text(), nullable=False),
        sa.Column("colour_folded", sa.Text(), nullable=False),
        sa.Column("packs", sa.Integer(), nullable=False),
        sa.Column("pieces", types.Real, nullable=False),
        sa.Column("due_on", types.DateColumn(), nullable=False),
        sa.Column("added_at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=True),
        sa.Column("withdrawn_at", types.UtcSeconds(), nullable=True),
        sa.CheckConstraint("(balloon_type_id IS NULL) <> (supply_id IS NULL)", name=op.f("ck_delivery_one_thing")),
        sa.CheckConstraint("packs > 0 AND pieces > 0", name=op.f("ck_delivery_figures")),
        sa.ForeignKeyConstraint(
            ["balloon_type_id"], ["balloon_type.id"], name=op.f("fk_delivery_balloon_type_id_balloon_type")
        ),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_delivery_lot_id_lot"), ondelete="SET NULL"),
        sa.ForeignKeyConstraint(["supply_id"], ["supply.id"], name=op.f("fk_delivery_supply_id_supply")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_delivery")),
        sa.UniqueConstraint("client_key", name=op.f("uq_delivery_client_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_delivery_due_on"), "delivery", ["due_on"])

    op.create_table(
        "history_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("order_version", sa.Integer(), nullable=False),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("changes", types.Json(), nullable=False),
        sa.Column("description", types.Json(), nullable=False),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_history_entry_order_id_orders"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_history_entry")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_history_entry_order_id"), "history_entry", ["order_id"])

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
            "sort IN ('supply', 'rental', 'delivery', 'set-up', 'take-down', 'other')",
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
        "order_line",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("balloon_type_id", sa.Integer(), nullable=True),
        sa.Column("design_id", sa.Integer(), nullable=True),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("gas", sa.Text(), nullable=False),
        sa.Column("treated", types.Flag(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("service", sa.Text(), nullable=False),
        sa.Column("colours", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("unit_minor", sa.Integer(), nullable=False),
        sa.Column("assembly_minutes", types.Real, nullable=False),
        sa.Column("parts", types.Json(), nullable=False),
        sa.Column("recipe", types.Json(), nullable=False),
        sa.CheckConstraint("part IN ('main', 'later')", name=op.f("ck_order_line_part")),
        sa.CheckConstraint("service IN ('sold', 'own', 'top-up')", name=op.f("ck_order_line_service")),
        sa.CheckConstraint(
            "(balloon_type_id IS NULL) <> (design_id IS NULL)", name=op.f("ck_order_line_one_thing")
        ),
        sa.CheckConstraint("quantity > 0 AND unit_minor >= 0", name=op.f("ck_order_line_figures")),
        sa.ForeignKeyConstraint(
            ["balloon_type_id"], ["balloon_type.id"], name=op.f("fk_order_line_balloon_type_id_balloon_type")
        ),
        sa.ForeignKeyConstraint(["design_id"], ["design.id"], name=op.f("fk_order_line_design_id_design")),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_order_line_order_id_orders"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_order_line")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_order_line_order_id"), "order_line", ["order_id"])

    op.create_table(
        "payment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("direction", sa.Text(), nullable=False),
        sa.Column("rental", types.Flag(), nullable=False),
        sa.Column("amount_minor", sa.Integer(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("undone_at", types.UtcSeconds(), nullable=True),
        sa.Column("undone_by", sa.Text(), nullable=True),
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

    op.create_table(
        "photo",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("design_id", sa.Integer(), nullable=True),
        sa.Column("order_id", sa.Integer(), nullable=True),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.CheckConstraint("design_id IS NOT NULL OR order_id IS NOT NULL", name=op.f("ck_photo_of_something")),
        sa.CheckConstraint("width > 0 AND height > 0", name=op.f("ck_photo_size")),
        sa.ForeignKeyConstraint(
            ["design_id"], ["design.id"], name=op.f("fk_photo_design_id_design"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_photo_order_id_orders"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
        sa.UniqueConstraint("client_key", name=op.f("uq_photo_client_key")),
        sa.UniqueConstraint("key", name=op.f("uq_photo_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_photo_design_id"), "photo", ["design_id"])
    op.create_index(op.f("ix_photo_order_id"), "photo", ["order_id"])

    op.create_table(
        "rental",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("supply_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("deposit_minor", sa.Integer(), nullable=False),
        sa.CheckConstraint("quantity >= 0 AND deposit_minor >= 0", name=op.f("ck_rental_figures")),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_rental_order_id_orders"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["supply_id"], ["supply.id"], name=op.f("fk_rental_supply_id_supply")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rental")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_rental_order_id"), "rental", ["order_id"])

    op.create_table(
        "cylinder_reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("cylinder_id", sa.Integer(), nullable=False),
        sa.Column("bar", types.Real, nullable=False),
        sa.Column("celsius", types.Real, nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=True),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("undone_at", types.UtcSeconds(), nullable=True),
        sa.Column("undone_by", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "state IN ('full', 'in use', 'empty', 'gone back')", name=op.f("ck_cylinder_reading_state")
        ),
        sa.CheckConstraint("bar >= 0", name=op.f("ck_cylinder_reading_bar")),
        sa.ForeignKeyConstraint(
            ["cylinder_id"],
            ["cylinder.id"],
            name=op.f("fk_cylinder_reading_cylinder_id_cylinder"),
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_cylinder_reading_order_id_orders"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cylinder_reading")),
        sa.UniqueConstraint("client_key", name=op.f("uq_cylinder_reading_client_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_cylinder_reading_at"), "cylinder_reading", ["at"])
    op.create_index(op.f("ix_cylinder_reading_cylinder_id"), "cylinder_reading", ["cylinder_id"])
    op.create_index(op.f("ix_cylinder_reading_order_id"), "cylinder_reading", ["order_id"])

    op.create_table(
        "photo_image",
        sa.Column("photo_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("size", sa.Text(), nullable=False),
        sa.Column("jpeg", sa.LargeBinary(), nullable=False),
        sa.CheckConstraint("size IN ('whole', 'small')", name=op.f("ck_photo_image_size")),
        sa.ForeignKeyConstraint(
            ["photo_id"], ["photo.id"], name=op.f("fk_photo_image_photo_id_photo"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("photo_id", "size", name=op.f("pk_photo_image")),
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

    op.create_table(
        "rental_return",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("rental_id", sa.Integer(), nullable=False),
        sa.Column("back", sa.Integer(), nullable=False),
        sa.Column("lost", sa.Integer(), nullable=False),
        sa.Column("kept_minor", sa.Integer(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("undone_at", types.UtcSeconds(), nullable=True),
        sa.Column("undone_by", sa.Text(), nullable=True),
        sa.CheckConstraint("back >= 0 AND lost >= 0 AND kept_minor >= 0", name=op.f("ck_rental_return_figures")),
        sa.ForeignKeyConstraint(
            ["rental_id"], ["rental.id"], name=op.f("fk_rental_return_rental_id_rental"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rental_return")),
        sa.UniqueConstraint("client_key", name=op.f("uq_rental_return_client_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_rental_return_rental_id"), "rental_return", ["rental_id"])

    op.create_table(
        "stock_move",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("sort", sa.Text(), nullable=False),
        sa.Column("change", types.Real, nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("batch_id", sa.Integer(), nullable=True),
        sa.Column("order_id", sa.Integer(), nullable=True),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "sort IN ('received', 'filled', 'burst', 'handed over', 'counted', 'used')",
            name=op.f("ck_stock_move_sort"),
        ),
        sa.ForeignKeyConstraint(
            ["batch_id"], ["batch.id"], name=op.f("fk_stock_move_batch_id_batch"), ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_stock_move_lot_id_lot"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_stock_move_order_id_orders"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stock_move")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_stock_move_batch_id"), "stock_move", ["batch_id"])
    op.create_index(op.f("ix_stock_move_lot_id"), "stock_move", ["lot_id"])
    op.create_index(op.f("ix_stock_move_order_id"), "stock_move", ["order_id"])

    op.create_table(
        "tap",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("batch_id", sa.Integer(), nullable=True),
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("part", sa.Text(), nullable=False),
        sa.Column("colour", sa.Text(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("at", types.UtcSeconds(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("undone_at", types.UtcSeconds(), nullable=True),
        sa.Column("undone_by", sa.Text(), nullable=True),
        sa.CheckConstraint("part IN ('main', 'later')", name=op.f("ck_tap_part")),
        sa.CheckConstraint("count >= 0", name=op.f("ck_tap_count")),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name=op.f("fk_tap_batch_id_batch"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["order_id"], ["orders.id"], name=op.f("fk_tap_order_id_orders"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tap")),
        sa.UniqueConstraint("client_key", name=op.f("uq_tap_client_key")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_tap_at"), "tap", ["at"])
    op.create_index(op.f("ix_tap_batch_id"), "tap", ["batch_id"])
    op.create_index(op.f("ix_tap_order_id"), "tap", ["order_id"])
    op.bulk_insert(
        counter, [{"name": "order", "value": 1000}, {"name": "board", "value": 1}, {"name": "shop", "value": 1}]
    )


def downgrade() -> None:
    op.drop_table("tap")
    op.drop_table("stock_move")
    op.drop_table("rental_return")
    op.drop_table("planned_start")
    op.drop_table("photo_image")
    op.drop_table("cylinder_reading")
    op.drop_table("rental")
    op.drop_table("photo")
    op.drop_table("payment")
    op.drop_table("order_line")
    op.drop_table("order_extra")
    op.drop_table("history_entry")
    op.drop_table("delivery")
    op.drop_table("cylinder")
    op.drop_table("batch")
    op.drop_table("orders")
    op.drop_table("lot")
    op.drop_table("design_supply")
    op.drop_table("design_part")
    op.drop_table("customer_phone")
    op.drop_table("customer_history")
    op.drop_table("weekday_shift")
    op.drop_table("supply")
    op.drop_table("staff_member")
    op.drop_table("setting")
    op.drop_table("opening_weekday")
    op.drop_table("opening_exception")
    op.drop_table("design")
    op.drop_table("day_shift")
    op.drop_table("customer")
    op.drop_table("counter")
    op.drop_table("bench_plan")
    op.drop_table("balloon_type")
