"""Makes a shop with many years of orders: those that were handed over are copied into the past by the database,
with all that belongs to them.

Each copy has keys and numbers of its own and stands some hours before the last, so every table grows as it would if
the shop had lived so long.
"""

from sqlalchemy import BigInteger, Text, bindparam, cast, create_engine, func, insert, literal, select, true, update
from sqlalchemy.orm import Session

from app.demo.year.records import OF_ORDER, TABLES
from app.store.engine import sqlite_module
from app.store.models import Counter, Order, Rental, RentalReturn, StockMove
from app.store.types import DateColumn, UtcSeconds

GROWING = ("customer", "customer_phone", "lot", *OF_ORDER)
"""The tables that grow with the orders, each after those to which it refers."""
KEYS = ("client_key", "key")
OWN_INDEXES = "SELECT name, sql FROM sqlite_schema WHERE type = 'index' AND sql IS NOT NULL"
AT_ONCE = 400
"""So many copies are made by one statement."""


def copy_into_the_past(session, wanted, hours_between=3):
    """Copies the orders that were handed over until there are at least so many orders; on SQLite only.

    hours_between: how long before those of a copy the orders of the next one stand; with 3 they are a thousand a
    month.
    """
    ids, there = _finished(session), session.scalar(select(func.count(Order.id)))
    copies = -(-(wanted - there) // len(ids["orders"]))
    if copies <= 0:
        return
    steps = {name: _last(session, TABLES[name].c.id) for name in GROWING}
    steps |= {"number": _last(session, Order.number), "seconds": hours_between * 3600}
    statements = [_copy(name, ids[name], steps) for name in GROWING]
    for first in range(1, copies + 1, AT_ONCE):
        for statement in statements:
            session.execute(statement, {"first": first, "last": min(first + AT_ONCE - 1, copies)})
    last = _last(session, Order.number)
    session.execute(update(Counter).where(Counter.name == "order").values(value=last))


def grow(file, wanted, hours_between=3):
    """Does the same to a file that nobody else uses, so fast that a million orders take a few minutes: without a
    journal, and with each index made once at the end. A file whose growing was broken off is of no use."""
    engine = create_engine(f"sqlite:///{file}", module=sqlite_module())
    with engine.connect() as connection, Session(connection) as session:
        for setting in ("journal_mode=OFF", "synchronous=OFF", "cache_size=-500000"):
            connection.exec_driver_sql(f"PRAGMA {setting}")
        indexes = connection.exec_driver_sql(OWN_INDEXES).all()
        for name, _ in indexes:
            connection.exec_driver_sql(f"DROP INDEX {name}")
        copy_into_the_past(session, wanted, hours_between)
        for _, made_by in indexes:
            connection.exec_driver_sql(made_by)
        session.commit()
    engine.dispose()


def _copy(name, ids, steps):
    """A statement that makes some copies of these rows, one after another: a table grows at its end, which costs
    far less than rows in between."""
    table, last = TABLES[name], bindparam("last", type_=BigInteger)
    copies = select(bindparam("first", type_=BigInteger).label("nth")).cte("copies", recursive=True)
    copies = copies.union_all(select(copies.c.nth + 1).where(copies.c.nth < last))
    columns = {column.name: _copied(column, table, copies.c.nth, steps) for column in table.columns}
    rows = select(*columns.values()).select_from(table.join(copies, true())).where(table.c.id.in_(ids))
    return insert(table).from_select([*columns], rows.order_by(copies.c.nth, table.c.id))


def _finished(session):
    """The ids of what belongs to the orders that were handed over and whose rentals came back, by table."""
    out = select(Rental.order_id).where(Rental.id.not_in(select(RentalReturn.rental_id)))
    gone = select(Order.id).where(Order.handed_over_at.is_not(None), Order.id.not_in(out))
    ids = {"orders": _listed(session, gone)}
    for name in GROWING:
        if "order_id" in TABLES[name].c:
            ids[name] = _ids_of(session, name, "order_id", ids["orders"])
    ids["customer"] = _listed(session, select(Order.customer_id).where(Order.id.in_(ids["orders"])).distinct())
    ids["customer_phone"] = _ids_of(session, "customer_phone", "customer_id", ids["customer"])
    ids["rental_return"] = _ids_of(session, "rental_return", "rental_id", ids["rental"])
    of_batches = _ids_of(session, "stock_move", "batch_id", ids["batch"])
    ids["stock_move"] = sorted({*ids["stock_move"], *of_batches})
    taken_from = select(StockMove.lot_id).where(StockMove.id.in_(ids["stock_move"])).distinct()
    ids["lot"] = _listed(session, taken_from)
    return ids


def _ids_of(session, name, column, owners):
    table = TABLES[name]
    return _listed(session, select(table.c.id).where(table.c[column].in_(owners)))


def _listed(session, found):
    return [*session.scalars(found)]


def _last(session, column):
    return session.scalar(select(func.max(column))) or 0


def _copied(column, table, nth, steps):  # noqa: PLR0911  one answer for each sort of column
    """What the nth copy has in a column."""
    refers = next(iter(column.foreign_keys), None)
    of_table = refers.column.table.name if refers else table.name
    if column.primary_key or (refers and of_table in GROWING and column.name != "merged_into_id"):
        return column + nth * steps[of_table]
    if column is TABLES["orders"].c.number:
        return column + nth * steps["number"]
    if column.name in KEYS:
        return column + "-" + cast(nth, Text)
    if isinstance(column.type, UtcSeconds):
        return cast(column, BigInteger) - nth * steps["seconds"]
    if isinstance(column.type, DateColumn):
        return func.date(column, literal("-") + cast(nth * steps["seconds"], Text) + " seconds")
    if column is TABLES["lot"].c.on_hand:
        return literal(0.0, column.type)  # what came in then is used up
    return column
