"""Every row that a query builds has each value in the field that carries its name."""

from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

import pytest
from sqlalchemy import literal

from app.store.models import Counter, Customer, Order, OrderBatch
from app.store.rows import RowReader, combined_columns

QUERIES = Path(__file__).resolve().parents[2] / "app" / "store" / "queries"
MODULES = [import_module(f"app.store.queries.{path.stem}") for path in sorted(QUERIES.glob("[a-z]*.py"))]
READERS = {
    reader.row_class.__name__: reader
    for module in MODULES
    for reader in vars(module).values()
    if isinstance(reader, RowReader)
}
OTHER_NAMES = {
    ("BoardRow", "order_number"): "orders.number",
    ("BoardRow", "order_state"): "orders.state",
    ("BoardRow", "order_verdict"): "orders.verdict",
    ("BoardRow", "own_inflate_by"): "batch.inflate_by",
    ("BoardRow", "started_by"): "tap.who",
    ("BoardRow", "last_tap_act"): "tap.act",
    ("BoardRow", "last_tap_colour"): "tap.colour",
    ("BoardRow", "last_tap_count"): "tap.count",
    ("BoardRow", "last_tap_id"): "tap.id",
    ("CompletedRow", "revenue_minor"): "orders.total_minor",
    ("CrewRow", "leaves_at"): "orders.ready_by",
    ("OrderRentals", "order_id"): "orders.id",
    ("QuickSaleRow", "at"): "orders.taken_at",
    ("TakeDownRow", "let_in"): "orders.take_down_at",
    ("RentalSpan", "out_from"): "orders.ready_by",
    ("ToFillRow", "celsius"): "orders.venue_celsius",
    ("ToFillRow", "elevation_m"): "orders.venue_elevation_m",
    ("ToFillRow", "leaves_at"): "orders.ready_by",
    ("ToFillRow", "order_id"): "orders.id",
    ("ToFillRow", "order_number"): "orders.number",
    ("WaitingRow", "leaves_at"): "batch.ready_by",
    ("WaitingRow", "planned_start"): "planned_start.starts_at",
    ("WorkRow", "event_end"): "orders.lasts_until",
    ("WorkRow", "leaves_at"): "orders.ready_by",
    ("WorkRow", "order_id"): "orders.id",
}
"""The only fields that read a column with another name than their own."""


@dataclass(frozen=True, slots=True)
class Pair:
    name: str
    value: int


@dataclass(frozen=True, slots=True)
class Noted:
    name: str
    value: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class Times:
    number: int
    ready_by: int
    later_at: int


def test_each_value_is_in_the_field_of_its_name(session):
    reader = RowReader(Pair, name=literal("orders"), value=literal(7))
    assert reader.read(session, reader.select()) == [Pair(name="orders", value=7)]


def test_the_order_in_which_columns_are_given_does_not_matter(session):
    reader = RowReader(Pair, value=literal(7), name=literal("orders"))
    assert reader.read(session, reader.select()) == [Pair(name="orders", value=7)]


def test_a_statement_may_select_more_before_and_after(session):
    reader = RowReader(Noted, value=literal(7), name=literal("orders"))
    (row,) = session.execute(reader.select(literal("last").label("other")))
    assert reader.build(row, note=row.other) == Noted(name="orders", value=7, note="last")


def test_a_whole_table_is_read_as_its_object(session):
    @dataclass(frozen=True, slots=True)
    class Counted:
        counter: Counter
        name: str

    reader = RowReader(Counted, name=Counter.name, counter=Counter)
    rows = reader.read(session, reader.select())
    assert rows
    assert all(row.counter.name == row.name for row in rows)


def test_two_swapped_columns_are_refused():
    with pytest.raises(TypeError, match=r"Times\.ready_by .*later_at"):
        RowReader(Times, number=Order.number, ready_by=Order.later_at, later_at=Order.ready_by)


@pytest.mark.parametrize(
    ("columns", "trouble"),
    [
        ({"number": Order.number, "ready_by": Order.ready_by}, "no column for later_at"),
        ({"number": Order.number, "ready_by": Order.ready_by, "later": Order.later_at}, "are not those of Times"),
        (
            {name: getattr(Order, name) for name in ("number", "ready_by", "later_at", "state")},
            "are not those of Times",
        ),
        ({"number": Order.number, "ready_by": Order.later_at, "later_at": Order.later_at}, "the same column"),
        (
            {"number": Order.later_at, "ready_by": Order.number, "later_at": Order.ready_by},
            "Times.ready_by reads|Times.number reads",
        ),
    ],
)
def test_a_forgotten_an_unknown_and_a_doubled_column_are_refused(columns, trouble):
    with pytest.raises(TypeError, match=trouble):
        RowReader(Times, **columns)


def test_one_statement_for_two_dataclasses_has_each_name_once():
    one = RowReader(Pair, name=Customer.name, value=Customer.id)
    other = RowReader(Noted, name=Customer.name, value=Customer.id)
    assert [column.name for column in combined_columns(one, other)] == ["name", "value"]
    unlike = RowReader(Noted, name=Customer.name_folded, value=Customer.id)
    with pytest.raises(TypeError, match=r"\bname\b"):
        combined_columns(one, unlike)


def test_all_queries_are_looked_at():
    assert len(READERS) >= 20
    assert {"BoardRow", "WorkRow", "PickupRow", "OrderRentals"} <= READERS.keys()


def _table(column):
    """The name of the table that a column is of; an alias has one that is made up for each statement."""
    return getattr(column.table, "element", column.table).name


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
def test_no_field_reads_the_column_of_another(reader):
    given = {label.name: label.element for label in reader.columns if not isinstance(label, type)}
    plain = {name: column for name, column in given.items() if getattr(column, "table", None) is not None}
    other = {
        (reader.row_class.__name__, name): f"{_table(column)}.{column.name}"
        for name, column in plain.items()
        if column.name != name
    }
    assert other == {key: column for key, column in OTHER_NAMES.items() if key[0] == reader.row_class.__name__}


def test_the_board_reads_what_batch_and_order_share_from_the_right_one():
    given = {label.name: label.element for label in READERS["BoardRow"].columns}
    shared = {column.key for column in OrderBatch.__table__.columns} & {
        column.key for column in Order.__table__.columns
    }
    read = {name: given[name].table.name for name in shared & given.keys() if name not in ("ready_by",)}
    assert read == dict.fromkeys(read, "batch")
