"""This module reads for the pages of the stock each lot, its latest moves, and the deliveries on their way."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import CompoundSelect, func, select, union_all
from sqlalchemy.orm import Session

from app.quoting.states import StockMoveReason
from app.store.models import Delivery, Lot, Order, OrderBatch, StockMove
from app.store.queries.by_index import distinct_values, is_there
from app.store.rows import RowReader

MOST_MOVES, MOST_LOTS = 40, 60


@dataclass(frozen=True, slots=True)
class LotLine:
    """One lot in a list. set_aside_at: since when it is for water weights and practice only. counts: how often it
    was counted again."""

    id: int
    balloon_type_id: int | None
    supply_id: int | None
    colour: str
    colour_folded: str
    received_on: date
    arrived: float
    on_hand: float
    set_aside_at: datetime | None
    set_aside_why: str
    counts: int


@dataclass(frozen=True, slots=True)
class MoveLine:
    """One change of a lot. number, key: of the order and the batch for which it was, if it was for one."""

    at: datetime
    who: str
    sort: StockMoveReason
    change: float
    why: str
    colour: str
    received_on: date
    number: int | None
    key: str | None


@dataclass(frozen=True, slots=True)
class DeliveryLine:
    """One delivery in a list."""

    id: int
    balloon_type_id: int | None
    supply_id: int | None
    colour: str
    packs: int
    pieces: float
    due_on: date
    added_at: datetime
    who: str


_COUNTS = (
    select(func.count())
    .select_from(StockMove)
    .where(StockMove.lot_id == Lot.id, StockMove.sort == StockMoveReason.COUNTED)
    .correlate(Lot)
    .scalar_subquery()
)
LOT_LINES = RowReader(
    LotLine,
    id=Lot.id,
    balloon_type_id=Lot.balloon_type_id,
    supply_id=Lot.supply_id,
    colour=Lot.colour,
    colour_folded=Lot.colour_folded,
    received_on=Lot.received_on,
    arrived=Lot.arrived,
    on_hand=Lot.on_hand,
    set_aside_at=Lot.set_aside_at,
    set_aside_why=Lot.set_aside_why,
    counts=_COUNTS,
)


def load_usable_lots(session: Session) -> list[LotLine]:
    """Returns the lots of all articles of which something is there for orders, the oldest first."""
    found = LOT_LINES.select().where(Lot.set_aside_at.is_(None), is_there())
    return LOT_LINES.read(session, found.order_by(Lot.received_on, Lot.id))


def lots_of(session: Session, balloon_type_id: int, supply_id: int, since: date) -> list[LotLine]:
    """Returns the lots of one article, the oldest first: those that are there, and of those received since that day
    the last MOST_LOTS."""
    found = LOT_LINES.select().where(Lot.id.in_(_there_or_last(balloon_type_id, supply_id, since)))
    return LOT_LINES.read(session, found.order_by(Lot.received_on, Lot.id))


def _there_or_last(balloon_type_id: int, supply_id: int, since: date = date.min) -> CompoundSelect[int]:
    """Returns the query for the ids of an article's lots: those that are there, and the last MOST_LOTS received
    since that day."""
    of_article = Lot.balloon_type_id == balloon_type_id if balloon_type_id else Lot.supply_id == supply_id
    mine = select(Lot.id).where(of_article)
    last = mine.where(Lot.received_on >= since).order_by(Lot.received_on.desc(), Lot.id.desc()).limit(MOST_LOTS)
    return union_all(mine.where(is_there()), select(last.subquery()))


MOVES = RowReader(
    MoveLine,
    at=StockMove.at,
    who=StockMove.who,
    sort=StockMove.sort,
    change=StockMove.change,
    why=StockMove.why,
    colour=Lot.colour,
    received_on=Lot.received_on,
    number=Order.number,
    key=OrderBatch.key,
)


def moves_of(session: Session, balloon_type_id: int, supply_id: int) -> list[MoveLine]:
    """Returns the latest MOST_MOVES changes of an article's lots, the latest first: of those that are there, and of
    the MOST_LOTS that came in last, each of which changed at least once if it is used up."""
    found = (
        MOVES.select()
        .join(Lot, Lot.id == StockMove.lot_id)
        .outerjoin(Order, Order.id == StockMove.order_id)
        .outerjoin(OrderBatch, OrderBatch.id == StockMove.batch_id)
        .where(Lot.id.in_(_there_or_last(balloon_type_id, supply_id)))
    )
    return MOVES.read(session, found.order_by(StockMove.id.desc()).limit(MOST_MOVES))


DELIVERIES = RowReader(
    DeliveryLine,
    id=Delivery.id,
    balloon_type_id=Delivery.balloon_type_id,
    supply_id=Delivery.supply_id,
    colour=Delivery.colour,
    packs=Delivery.packs,
    pieces=Delivery.pieces,
    due_on=Delivery.due_on,
    added_at=Delivery.added_at,
    who=Delivery.who,
)


def load_pending_deliveries(session: Session) -> list[DeliveryLine]:
    """Returns the deliveries that have neither arrived nor been withdrawn, the one due first at the start."""
    found = DELIVERIES.select().where(Delivery.lot_id.is_(None), Delivery.withdrawn_at.is_(None))
    return DELIVERIES.read(session, found.order_by(Delivery.due_on, Delivery.id))


def load_stocked_colours(session: Session) -> list[str]:
    """Returns the colours of all balloons that were ever in stock, as the packs name them."""
    colours = distinct_values(Lot.colour).c.value
    return list(session.scalars(select(colours).where(colours.is_not(None)).order_by(colours)))
