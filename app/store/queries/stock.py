"""This module reads what comes into stock, and what open orders are promised of it, in one statement each."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import Any

from sqlalchemy import CompoundSelect, bindparam, case, func, null, or_, select, union_all
from sqlalchemy.orm import Session

from app.quoting.request import ExtraSort, HandOver
from app.quoting.states import OrderState
from app.store.kept_rows import MOST_OPEN, KeptRows
from app.store.models import (
    Delivery,
    Order,
    OrderBatch,
    OrderExtra,
    OrderLine,
    PlannedStart,
    SupplyRow,
)
from app.store.queries.forgotten import is_batch_forgotten, is_order_forgotten
from app.store.queries.stock_levels import BALLOON_TYPES, SUPPLIES, Ids, articles_of
from app.store.rows import RowReader
from app.store.types import UtcSeconds, parameter

TAKEN_AT = case(
    (Order.hand_over == HandOver.VENUE, Order.ready_by),
    else_=func.coalesce(PlannedStart.starts_at, OrderBatch.inflate_by, type_=UtcSeconds()),
)
"""When a batch's balloons leave the shelf: when they are filled, or when a crew takes them along."""


@dataclass(frozen=True, slots=True)
class ExpectedStockRow:
    """Stock that is due on a day."""

    balloon_type_id: int | None
    supply_id: int | None
    colour: str
    colour_folded: str
    pieces: float
    due_on: date


@dataclass(frozen=True, slots=True)
class PromisedBatchRow:
    """A batch that is not filled yet. colours, bursts: [[name, count], …]."""

    number: int
    balloon_type_id: int
    colours: Sequence[tuple[str, int]]
    taken_at: datetime
    spares: int
    bursts: Sequence[tuple[str, int]]
    started_at: datetime | None


@dataclass(frozen=True, slots=True)
class PromisedSupplyRow:
    """Supplies of an open order. recipe: that of a line. extra: the supply of an add-on, and how many."""

    number: int
    leaves_at: datetime
    quantity: float
    recipe: dict[str, Any]
    supply_id: int | None


COMING = RowReader(
    ExpectedStockRow,
    balloon_type_id=Delivery.balloon_type_id,
    supply_id=Delivery.supply_id,
    colour=Delivery.colour,
    colour_folded=Delivery.colour_folded,
    pieces=Delivery.pieces,
    due_on=Delivery.due_on,
)


_EXPECTED = COMING.select().where(
    Delivery.lot_id.is_(None), Delivery.withdrawn_at.is_(None), Delivery.due_on >= bindparam("today")
)
_EXPECTED_OF = _EXPECTED.where(or_(Delivery.balloon_type_id.in_(BALLOON_TYPES), Delivery.supply_id.in_(SUPPLIES)))


def load_expected_stock(
    session: Session, today: date, balloon_types: Ids = None, supplies: Ids = None
) -> list[ExpectedStockRow]:
    """Returns the stock that is due today or later; nobody can count on what is overdue."""
    articles = articles_of(balloon_types, supplies)
    return COMING.read(session, _EXPECTED_OF if articles else _EXPECTED, today=today, **articles)


PROMISED = RowReader(
    PromisedBatchRow,
    number=Order.number,
    balloon_type_id=OrderBatch.balloon_type_id,
    colours=OrderBatch.colours,
    taken_at=TAKEN_AT,
    spares=OrderBatch.spares,
    bursts=OrderBatch.bursts,
    started_at=OrderBatch.started_at,
)
KEPT_PROMISED = KeptRows(PROMISED, MOST_OPEN)


_PROMISED = (
    PROMISED.select()
    .join(Order, Order.id == OrderBatch.order_id)
    .outerjoin(PlannedStart, PlannedStart.batch_id == OrderBatch.id)
    .where(Order.state == OrderState.OPEN, OrderBatch.filled_at.is_(None), OrderBatch.quantity > 0)
    .where(Order.not_made_at.is_(None), Order.number != bindparam("excluding"))
)
_PROMISED_SINCE = _PROMISED.where(~is_batch_forgotten(parameter("since")))


def promised_batches(
    session: Session, balloon_types: Ids = None, excluding_order: int | None = None, since: datetime | None = None
) -> list[PromisedBatchRow]:
    """Returns the batches of open orders that are not filled yet.

    excluding_order: the number of an order to leave out. since: batches that should have been ready before this
    moment, and were not started, are regarded as forgotten and left out too.
    """
    found, values = (_PROMISED_SINCE, {"since": since}) if since else (_PROMISED, {})
    found = found.where(OrderBatch.balloon_type_id.in_(balloon_types)) if balloon_types is not None else found
    return KEPT_PROMISED.read(session, found, excluding=excluding_order or 0, **values)


@cache
def _supplies(*, is_recent: bool) -> CompoundSelect[*tuple[Any, ...]]:
    """Returns the statement of the supplies of open orders. is_recent: without what is regarded as forgotten."""
    mine = [Order.state == OrderState.OPEN, Order.not_made_at.is_(None), Order.number != bindparam("excluding")]
    mine += [~is_order_forgotten(parameter("since"))] if is_recent else []
    lines = (
        select(Order.number, Order.ready_by, OrderLine.quantity, OrderLine.recipe, null().label("supply_id"))
        .join(OrderLine, OrderLine.order_id == Order.id)
        .where(*mine, OrderLine.design_id.is_not(None))
    )
    extras = (
        select(
            Order.number,
            Order.ready_by,
            (OrderExtra.quantity * OrderExtra.of_one).label("quantity"),
            null().label("recipe"),
            OrderExtra.supply_id,
        )
        .join(OrderExtra, OrderExtra.order_id == Order.id)
        .where(*mine, OrderExtra.sort == ExtraSort.SUPPLY)
    )
    return union_all(lines, extras)


def promised_supplies(
    session: Session, excluding_order: int | None = None, since: datetime | None = None
) -> list[PromisedSupplyRow]:
    """Returns the supplies of open orders, including rental items, which the caller must leave out by their sort.

    since: orders that should have left before this moment, with their later part, are regarded as forgotten and
    left out.
    """
    values = {"since": since} if since else {}
    found = session.execute(_supplies(is_recent=since is not None), {"excluding": excluding_order or 0, **values})
    return [
        PromisedSupplyRow(
            number=row.number,
            leaves_at=row.ready_by,
            quantity=row.quantity,
            recipe=row.recipe or {},
            supply_id=row.supply_id,
        )
        for row in found
    ]


@dataclass(frozen=True, slots=True)
class StockFilledRow:
    """A batch that is filled. colours: [[name, count], …]."""

    balloon_type_id: int
    gas: str
    treated: bool
    colours: Sequence[tuple[str, int]]


FILLED = RowReader(
    StockFilledRow,
    balloon_type_id=OrderBatch.balloon_type_id,
    gas=OrderBatch.gas,
    treated=OrderBatch.treated,
    colours=OrderBatch.colours,
)


def filled_batches(session: Session, number: int) -> list[StockFilledRow]:
    """Returns the batches of an order that are filled."""
    found = (
        FILLED.select()
        .join(Order, Order.id == OrderBatch.order_id)
        .where(Order.number == number, OrderBatch.filled_at.is_not(None))
    )
    return FILLED.read(session, found)


def all_supplies(session: Session) -> list[SupplyRow]:
    """Returns all supplies, from light to heavy and from narrow to wide."""
    return list(session.scalars(select(SupplyRow).order_by(SupplyRow.grams, SupplyRow.width_cm, SupplyRow.name)))
