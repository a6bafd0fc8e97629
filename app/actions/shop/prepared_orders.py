"""Open orders calculated ahead, by a shop that is not saved yet: beside the pages, without the write lock.

Saving then writes what was prepared of each order whose rows are still those that were read, and calculates only
the others.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, insert, inspect, select, text, update
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.records.descriptions import HistoryFormats
from app.actions.records.history import describe_entry
from app.actions.shop.office import RECALCULATED, SOONEST_FIRST, WorseOrder, replan_open_orders, replan_order
from app.quoting.catalogue import Catalogue
from app.quoting.shop import Shop
from app.quoting.states import OrderState
from app.store.engine import Database
from app.store.models import HistoryEntry, Order, OrderBatch

AT_A_TIME = 20
"""So many orders are read in one session, so that none stays open for long."""
READ = {"orders": "id", **dict.fromkeys(("order_line", "order_extra", "rental", "batch"), "order_id")}
"""The tables from which an order is calculated, each with the column that has the order's id."""

Rows = tuple[tuple[Any, ...], ...]


@dataclass(frozen=True, slots=True)
class PreparedOrder:
    """An order as it was calculated. rows: from what. changed, changed_batches: the columns to write, each with the
    id of its row. entry: of its history; None without changes. worse: None unless it becomes worse. needs_saving:
    whether batches come or go, so that it is calculated again while it is saved."""

    rows: Rows
    changed: Mapping[str, Any]
    changed_batches: Sequence[Mapping[str, Any]]
    entry: Mapping[str, Any] | None
    worse: WorseOrder | None
    needs_saving: bool


Prepared = Mapping[int, PreparedOrder]
"""By the id of the order."""


def prepare_open_orders(
    database: Database, shop: Shop, catalogue: Catalogue, now: datetime, report: Callable[[int, int], None]
) -> Prepared:
    """Calculates every open order by this shop; saves nothing. report: told after each order how many are done, and
    of how many; what it raises ends the work."""
    with database.reading() as session:
        open_ones = select(Order.id).where(Order.state == OrderState.OPEN)
        ids = list(session.scalars(open_ones.order_by(*SOONEST_FIRST)))
    found: dict[int, PreparedOrder] = {}
    for first in range(0, len(ids), AT_A_TIME):
        # Closed without a flush, so what is written to its orders is dropped.
        with database.reading() as session, session.no_autoflush:
            some = ids[first : first + AT_A_TIME]
            rows = _rows_of(session, some)
            orders = session.scalars(select(Order).where(Order.id.in_(some)).order_by(*SOONEST_FIRST))
            for place, order in enumerate(orders, first + 1):
                found[order.id] = _prepare(order, rows[order.id], shop, catalogue, now)
                report(place, len(ids))
    return found


def still_good(session: Session, prepared: Prepared) -> Prepared:
    """Returns what was prepared of orders whose rows are the same as then."""
    session.flush()
    rows = _rows_of(session, [*prepared])
    return {id_: one for id_, one in prepared.items() if rows.get(id_) == one.rows}


def save_open_orders(context: Context, prepared: Prepared) -> list[WorseOrder]:
    """Recalculates every open order as `replan_open_orders` does, with what is prepared and still good; only the
    others are calculated. The shop and the catalogue must be the ones with which it was prepared. Returns the
    orders that became worse."""
    session = context.session
    ready = {id_: one for id_, one in prepared.items() if not one.needs_saving}
    _update(session, Order, (one.changed for one in ready.values()))
    _update(session, OrderBatch, (batch for one in ready.values() for batch in one.changed_batches))
    entries = [{**one.entry, "at": context.now, "who": context.who} for one in ready.values() if one.entry]
    if entries:
        session.execute(insert(HistoryEntry), entries)
    return [*(one.worse for one in ready.values() if one.worse), *replan_open_orders(context, but=ready)]


def _prepare(order: Order, rows: Rows, shop: Shop, catalogue: Catalogue, now: datetime) -> PreparedOrder:
    """Returns the order as it is calculated."""
    done = replan_order(order, shop, catalogue, now)
    return PreparedOrder(
        rows,
        _changed(order),
        [changed for batch in order.batches if (changed := _changed(batch))],
        describe_entry(order, RECALCULATED, done.changes, HistoryFormats.of(shop)) if done.changes else None,
        done.worse,
        needs_saving=inspect(order).attrs.batches.history.has_changes(),
    )


def _changed(row: Order | OrderBatch) -> dict[str, Any]:
    """Returns the columns of the row that have another value than was read, with its id; nothing if none has."""
    state: Any = inspect(row)
    names = (column.key for column in state.mapper.column_attrs)
    changed = {name: state.dict[name] for name in names if state.attrs[name].history.has_changes()}
    return {"id": row.id, **changed} if changed else {}


def _rows_of(session: Session, ids: Sequence[int]) -> dict[int, Rows]:
    """Returns the rows from which each order is calculated, as the database has them."""
    found = defaultdict(list)
    for table, column in READ.items():
        query = text(f"SELECT {column} AS of_order, * FROM {table} WHERE {column} IN :ids ORDER BY id")
        for row in session.execute(query.bindparams(bindparam("ids", expanding=True)), {"ids": ids}):
            found[row.of_order].append(tuple(row))
    return {id_: tuple(rows) for id_, rows in found.items()}


def _update(session: Session, table: type[Order | OrderBatch], changed: Iterable[Mapping[str, Any]]) -> None:
    """Writes the changed columns of rows, as few statements as there are sets of columns."""
    by_columns = defaultdict(list)
    for one in changed:
        if one:
            by_columns[frozenset(one)].append(one)
    for rows in by_columns.values():
        session.execute(update(table), rows)
