"""Makes a shop with many years of orders: the database copies those that were handed over into the past, with all
that belongs to them.

Each copy has keys and numbers of its own and stands some time before the last, so every table grows as it would if
the shop had lived so long. What came in for copied orders is used up.
"""

from sqlalchemy import BigInteger, Text, cast, func, insert, literal, literal_column, select, true, update

from app.store.models import Counter, Order, Rental, RentalReturn
from app.store.types import Base, UtcSeconds

GROWING = ("customer", "customer_phone", "orders", "order_line", "order_extra", "batch", "tap", "payment", "rental",
           "rental_return", "lot", "stock_move", "history_entry")  # fmt: skip
"""The tables that grow with the orders, each after those to which it refers."""
KEYS = ("client_key", "key")
SECONDS_OF_YEAR = 365 * 86_400


def copy_into_the_past(session, wanted, years=10):
    """Copies the orders that were handed over, spread over so many years, until there are at least so many."""
    ids, there = _finished(session), session.scalar(select(func.count(Order.id))) or 0
    copies = -(-(wanted - there) // len(ids["orders"]))
    if copies <= 0:
        return
    nth = select(literal_column("1", BigInteger).label("nth")).cte("copies", recursive=True)
    nth = nth.union_all(select(nth.c.nth + 1).where(nth.c.nth < copies))
    steps = {name: _last(session, Base.metadata.tables[name].c.id) for name in GROWING}
    steps |= {"number": _last(session, Order.number), "seconds": round(years * SECONDS_OF_YEAR) // copies}
    for name in GROWING:
        table = Base.metadata.tables[name]
        columns = {column.name: _copied(column, table, nth.c.nth, steps) for column in table.columns}
        rows = select(*columns.values()).select_from(table.join(nth, true())).where(table.c.id.in_(ids[name]))
        session.execute(insert(table).from_select([*columns], rows))
    session.execute(update(Counter).where(Counter.name == "order").values(value=_last(session, Order.number)))


def _finished(session):
    """Returns what belongs to the orders that were handed over and whose rentals came back, by table."""
    out = select(Rental.order_id).where(Rental.id.not_in(select(RentalReturn.rental_id)))
    orders = [*session.scalars(select(Order.id).where(Order.handed_over_at.is_not(None), Order.id.not_in(out)))]
    ids = {"orders": orders}
    for name in GROWING:
        table = Base.metadata.tables[name]
        if name != "orders" and "order_id" in table.c:
            ids[name] = [*session.scalars(select(table.c.id).where(table.c.order_id.in_(orders)))]
    tables = Base.metadata.tables
    ids["customer"] = [*session.scalars(select(Order.customer_id).where(Order.id.in_(orders)).distinct())]
    phone, back, move = tables["customer_phone"], tables["rental_return"], tables["stock_move"]
    ids["customer_phone"] = [*session.scalars(select(phone.c.id).where(phone.c.customer_id.in_(ids["customer"])))]
    ids["rental_return"] = [*session.scalars(select(back.c.id).where(back.c.rental_id.in_(ids["rental"])))]
    of_batch = select(move.c.id).where(move.c.batch_id.in_(ids["batch"]))
    ids["stock_move"] = sorted({*ids["stock_move"], *session.scalars(of_batch)})
    ids["lot"] = [*session.scalars(select(move.c.lot_id).where(move.c.id.in_(ids["stock_move"])).distinct())]
    return ids


def _last(session, column):
    return session.scalar(select(func.max(column))) or 0


def _copied(column, table, nth, steps):
    """Returns what the nth copy has in a column."""
    refers = next(iter(column.foreign_keys), None)
    of_table = refers.column.table.name if refers else table.name
    if column.primary_key or (refers and of_table in GROWING and column.name != "merged_into_id"):
        return column + nth * steps[of_table]
    if column.name == "number" and table.name == "orders":
        return column + nth * steps["number"]
    if column.name in KEYS:
        return column + "-" + cast(nth, Text)
    if isinstance(column.type, UtcSeconds):
        return cast(column, BigInteger) - nth * steps["seconds"]
    if column.name == "on_hand":
        return literal(0.0, column.type)  # what came in then is used up
    return column
