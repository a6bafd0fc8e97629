"""This module reads what is in stock, what comes, and what open orders are promised of it, in one statement
each."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, bindparam, case, func, null, or_, select, union_all
from sqlalchemy.orm import Session

from app.physics.material import Material
from app.quoting.request import ExtraSort, HandOver
from app.quoting.states import OrderState
from app.store.models import (
    BalloonTypeRow,
    Delivery,
    Lot,
    Order,
    OrderBatch,
    OrderExtra,
    OrderLine,
    PlannedStart,
    SupplyRow,
)
from app.store.queries.by_index import distinct_values_of, is_there
from app.store.queries.forgotten import is_batch_forgotten, is_order_forgotten
from app.store.rows import RowReader
from app.store.types import UtcSeconds

TAKEN_AT = case(
    (Order.hand_over == HandOver.VENUE, Order.ready_by),
    else_=func.coalesce(PlannedStart.starts_at, OrderBatch.inflate_by, type_=UtcSeconds()),
)
"""When a batch's balloons leave the shelf: when they are filled, or when a crew takes them along."""


@dataclass(frozen=True, slots=True)
class StockLevelRow:
    """All lots of one article and colour together that can be used for orders. colour: as one of the packs says it.
    old: how many more there are that are too old to be filled."""

    balloon_type_id: int | None
    supply_id: int | None
    colour: str
    colour_folded: str
    on_hand: float
    old: float


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


Ids = Collection[int] | None
"""None is all."""


_AGEING = select(BalloonTypeRow.id).where(
    BalloonTypeRow.material.in_([one for one in Material if one.traits.ages_in_stock])
)
_IS_OLD = and_(
    Lot.received_on < bindparam("old_before"),
    Lot.on_hand > 0,
    Lot.balloon_type_id.is_not(None),
    Lot.balloon_type_id.in_(_AGEING),
)
LOTS = RowReader(
    StockLevelRow,
    balloon_type_id=Lot.balloon_type_id,
    supply_id=Lot.supply_id,
    colour=func.max(Lot.colour),
    colour_folded=Lot.colour_folded,
    on_hand=func.sum(case((or_(Lot.set_aside_at.is_not(None), _IS_OLD), 0.0), else_=Lot.on_hand)),
    old=func.sum(case((and_(Lot.set_aside_at.is_(None), _IS_OLD), Lot.on_hand), else_=0.0)),
)


def load_stock_levels(
    session: Session, old_before: date, balloon_types: Ids = None, supplies: Ids = None
) -> list[StockLevelRow]:
    """Returns the stock by article and colour, including each colour that was ever there and of which nothing is
    left. old_before: what ages and came in before this day is old."""
    found = (
        LOTS.select()
        .where(is_there(), *_lots_among(balloon_types, supplies))
        .group_by(Lot.balloon_type_id, Lot.supply_id, Lot.colour_folded)
        .params(old_before=old_before)
    )
    there = LOTS.read(session, found)
    known = {_shelf_of(row) for row in there}
    used_up = [row for row in _used_up_colours(session, balloon_types, supplies) if _shelf_of(row) not in known]
    return sorted([*there, *used_up], key=_shelf_of)


def _shelf_of(row: StockLevelRow) -> tuple[int, int, str]:
    return row.balloon_type_id or 0, row.supply_id or 0, row.colour_folded


def _used_up_colours(session: Session, balloon_types: Ids, supplies: Ids) -> list[StockLevelRow]:
    """Returns each colour of an article that was ever there, as if nothing were left of it."""
    owners = (
        (select(BalloonTypeRow.id), BalloonTypeRow.id, Lot.balloon_type_id, balloon_types),
        (select(SupplyRow.id), SupplyRow.id, Lot.supply_id, supplies),
    )
    every = balloon_types is None and supplies is None
    parts = []
    for found, key, owner, ids in owners:
        colours = distinct_values_of(found if every else found.where(key.in_(ids or ())), owner, Lot.colour_folded)
        alike = (owner == colours.c.owner, Lot.colour_folded == colours.c.value)
        said = select(func.max(Lot.colour)).where(*alike).correlate(colours).scalar_subquery()
        is_type = owner is Lot.balloon_type_id
        article = (colours.c.owner, null()) if is_type else (null(), colours.c.owner)
        parts.append(select(*article, said, colours.c.value).where(colours.c.value.is_not(None)))
    return [
        StockLevelRow(
            balloon_type_id=balloon_type,
            supply_id=supply,
            colour=said,
            colour_folded=folded,
            on_hand=0.0,
            old=0.0,
        )
        for balloon_type, supply, said, folded in session.execute(union_all(*parts))
    ]


COMING = RowReader(
    ExpectedStockRow,
    balloon_type_id=Delivery.balloon_type_id,
    supply_id=Delivery.supply_id,
    colour=Delivery.colour,
    colour_folded=Delivery.colour_folded,
    pieces=Delivery.pieces,
    due_on=Delivery.due_on,
)


def load_expected_stock(
    session: Session, today: date, balloon_types: Ids = None, supplies: Ids = None
) -> list[ExpectedStockRow]:
    """Returns the stock that is due today or later; nobody can count on what is overdue."""
    found = COMING.select()
    waiting = (Delivery.lot_id.is_(None), Delivery.withdrawn_at.is_(None), Delivery.due_on >= today)
    return COMING.read(session, found.where(*waiting, _is_among(balloon_types, supplies)))


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


def promised_batches(
    session: Session, balloon_types: Ids = None, excluding_order: int | None = None, since: datetime | None = None
) -> list[PromisedBatchRow]:
    """Returns the batches of open orders that are not filled yet.

    excluding_order: the number of an order to leave out. since: batches that should have been ready before this
    moment, and were not started, are regarded as forgotten and left out too.
    """
    found = (
        PROMISED.select()
        .join(Order, Order.id == OrderBatch.order_id)
        .outerjoin(PlannedStart, PlannedStart.batch_id == OrderBatch.id)
        .where(Order.state == OrderState.OPEN, OrderBatch.filled_at.is_(None), OrderBatch.quantity > 0)
        .where(Order.not_made_at.is_(None))
    )
    found = found.where(OrderBatch.balloon_type_id.in_(balloon_types)) if balloon_types is not None else found
    found = found.where(Order.number != excluding_order) if excluding_order else found
    found = found.where(~is_batch_forgotten(since)) if since else found
    return PROMISED.read(session, found)


def promised_supplies(
    session: Session, excluding_order: int | None = None, since: datetime | None = None
) -> list[PromisedSupplyRow]:
    """Returns the supplies of open orders, including rental items, which the caller must leave out by their sort.

    since: orders that should have left before this moment, with their later part, are regarded as forgotten and
    left out.
    """
    mine = [Order.state == OrderState.OPEN, Order.not_made_at.is_(None), Order.number != (excluding_order or 0)]
    mine += [~is_order_forgotten(since)] if since else []
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
    found = session.execute(union_all(lines, extras))
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


def _is_among(balloon_types: Ids, supplies: Ids) -> ColumnElement[bool]:
    """Returns the condition that a delivery is of these articles."""
    if balloon_types is None and supplies is None:
        return and_(True)
    return or_(Delivery.balloon_type_id.in_(balloon_types or ()), Delivery.supply_id.in_(supplies or ()))


def _lots_among(balloon_types: Ids, supplies: Ids) -> Iterator[ColumnElement[bool]]:
    """Yields the condition that a lot is of these articles and not used up; nothing if all articles are wanted."""
    if balloon_types is not None or supplies is not None:
        articles = (Lot.balloon_type_id.in_(balloon_types or ()), Lot.supply_id.in_(supplies or ()))
        yield Lot.id.in_(union_all(*(select(Lot.id).where(article, is_there()) for article in articles)))


def all_supplies(session: Session) -> list[SupplyRow]:
    """Returns all supplies, from light to heavy and from narrow to wide."""
    return list(session.scalars(select(SupplyRow).order_by(SupplyRow.grams, SupplyRow.width_cm, SupplyRow.name)))
