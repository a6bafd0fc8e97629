"""Goods on their way: entered when they are ordered, received when they come, withdrawn when they will not come."""

from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.records.history import lock_board, touch_board
from app.actions.records.idempotency import save_once, saved_with_key
from app.actions.stock.articles import Article, colour_key
from app.actions.stock.lots import Arrival, load_lot, receive
from app.quoting.defaults import StockDefaults
from app.quoting.errors import Problem, Refused
from app.store.models import Delivery, Lot, StockMove

MOST_PACKS = 10_000
COUNT_TOLERANCE = 1e-9
MAX_DELIVERY_AHEAD = timedelta(days=366)
UNDO_WITHDRAWAL_WITHIN = timedelta(days=14)
DELIVERY_CANCELLED = "This delivery was cancelled. Undo that under “Cancelled deliveries”, or add a lot in Stock."
DELIVERY_ARRIVED = "This delivery has arrived already. If that is wrong, count its lot in Stock."
LOT_CHANGED_SINCE = "This lot was counted, used or put away since, so it cannot be undone. Count it instead."
REST_ARRIVED = "The rest of this delivery has arrived already. Undo that lot first, or count this one."
DUE_OUT_OF_RANGE = "Enter a day from today to a year from now."
"""How long a withdrawal can be undone."""


def add_delivery(
    context: Context,
    article: Article,
    colour: str,
    packs: int,
    due_on: date,
    client_key: str,
) -> Delivery:
    """Saves an order of whole packs, in the pack size of today, and returns it.

    A second call with the same key returns the first delivery. Raises Refused, at packs or due_on.
    """
    if known := saved_with_key(context.session, Delivery, client_key):
        return known
    _refuse(packs, due_on, context.today)
    tidy = " ".join(colour.split())
    new = Delivery(
        client_key=client_key,
        balloon_type_id=article.balloon_type_id or None,
        supply_id=article.supply_id or None,
        colour=tidy,
        colour_folded=colour_key(tidy),
        packs=packs,
        pieces=packs * article.pack_size(context.catalogue),
        due_on=due_on,
        added_at=context.now,
        who=context.who,
    )
    delivery = save_once(context.session, new)
    if delivery is new:
        touch_board(context.session)
    return delivery


def load_delivery(session: Session, delivery_id: int) -> Delivery:
    """Returns the delivery, which nobody else may change until the session ends. Raises NotFound."""
    lock_board(session)  # the board is locked before goods everywhere, so that no two writers wait for each other
    found = select(Delivery).where(Delivery.id == delivery_id).with_for_update()
    row = session.scalar(found.execution_options(populate_existing=True))
    if row is None:
        raise NotFound("This delivery does not exist.")
    return row


@dataclass(frozen=True, slots=True)
class DeliveryArrival:
    """What arrived. short: by how many units it was less than ordered. rest: the whole packs among those, which
    stay on their way. rest is None if less than one pack is missing: then a pack held too few, and nobody sends
    those later."""

    lot: Lot
    short: float
    rest: Delivery | None


def arrive(context: Context, delivery_id: int, count: float) -> DeliveryArrival:
    """Records that so many units of the delivery came. A second press returns the same lot. Raises NotFound, and
    Refused at count."""
    row = load_delivery(context.session, delivery_id)
    if row.withdrawn_at is not None:
        raise Refused(Problem("count", DELIVERY_CANCELLED))
    article = Article(row.balloon_type_id or 0, row.supply_id or 0)
    lot = receive(context, Arrival(article, row.colour, count, context.today), f"delivery {row.id}")
    row.lot_id = lot.id
    short = max(0.0, row.pieces - lot.arrived)
    missing = int(short / (row.pieces / row.packs) + COUNT_TOLERANCE)
    return DeliveryArrival(lot, short, save_once(context.session, _rest(row, missing)) if missing else None)


def _rest(row: Delivery, packs: int) -> Delivery:
    """Returns a delivery of the missing packs, ordered and due when the whole delivery was."""
    return Delivery(
        client_key=_rest_key(row),
        balloon_type_id=row.balloon_type_id,
        supply_id=row.supply_id,
        colour=row.colour,
        colour_folded=row.colour_folded,
        packs=packs,
        pieces=packs * (row.pieces / row.packs),
        due_on=row.due_on,
        added_at=row.added_at,
        who=row.who,
    )


def withdraw(context: Context, delivery_id: int) -> Delivery:
    """Records that the delivery will not come. Raises NotFound, and Refused if it came already."""
    row = load_delivery(context.session, delivery_id)
    if row.lot_id is not None:
        raise Refused(Problem("count", DELIVERY_ARRIVED))
    if row.withdrawn_at is None:
        row.withdrawn_at = context.now
        touch_board(context.session)
    return row


def undo_withdrawal(session: Session, delivery_id: int) -> Delivery:
    """Records that the delivery comes after all. A second press changes nothing. Raises NotFound."""
    row = load_delivery(session, delivery_id)
    if row.withdrawn_at is not None:
        row.withdrawn_at = None
        touch_board(session)
    return row


def withdrawn_lately(context: Context) -> list[Delivery]:
    """Returns the deliveries whose withdrawal can still be undone, the last withdrawn first."""
    found = select(Delivery).where(Delivery.withdrawn_at > context.now - UNDO_WITHDRAWAL_WITHIN)
    return list(context.session.scalars(found.order_by(Delivery.withdrawn_at.desc(), Delivery.id.desc())))


def undo_arrival(session: Session, lot_id: int) -> Delivery | None:
    """Deletes a lot that was received by mistake, and returns its delivery, which is whole and on its way again.

    Returns None if the lot came without a delivery. Raises NotFound, and Refused at lot.
    """
    lot = load_lot(session, lot_id)
    if lot.set_aside_at is not None or _moves(session, lot_id) != 1:
        raise Refused(Problem("lot", LOT_CHANGED_SINCE))
    row = session.scalar(select(Delivery).where(Delivery.lot_id == lot_id))
    if row is not None:
        _join_rest(session, row)
        row.lot_id = None
        session.flush()
    session.delete(lot)
    touch_board(session)
    session.flush()
    return row


def _moves(session: Session, lot_id: int) -> int:
    """Returns how many moves of the lot are recorded."""
    return session.scalar(select(func.count()).select_from(StockMove).where(StockMove.lot_id == lot_id)) or 0


def _join_rest(session: Session, row: Delivery) -> None:
    """Deletes the delivery of the missing packs, which is part of the whole again. Raises Refused if it came
    already."""
    rest = session.scalar(select(Delivery).where(Delivery.client_key == _rest_key(row)))
    if rest is None:
        return
    if rest.lot_id is not None:
        raise Refused(Problem("lot", REST_ARRIVED))
    session.delete(rest)


def _rest_key(row: Delivery) -> str:
    """Returns the key that the delivery of the missing packs has, so that there is only one."""
    return f"rest of delivery {row.id}"


def next_deliveries(stock_defaults: StockDefaults, today: date) -> tuple[date, date]:
    """Returns the day of the first delivery that can still be ordered, and of the one after it.

    If the shop has no fixed day, the first comes after the lead time alone, and the second a week later.
    """
    first = today + timedelta(days=stock_defaults.lead_days)
    if stock_defaults.delivery_weekday is not None:
        first += timedelta(days=(stock_defaults.delivery_weekday - first.weekday()) % 7)
    return first, first + timedelta(days=7)


def _refuse(packs: int, due_on: date, today: date) -> None:
    """Raises Refused for a number of packs or a day out of range."""
    problems = []
    if not 1 <= packs <= MOST_PACKS:
        problems.append(Problem("packs", f"Enter a whole number from 1 to {MOST_PACKS:,}."))
    if not today <= due_on <= today + MAX_DELIVERY_AHEAD:
        problems.append(Problem("due_on", DUE_OUT_OF_RANGE))
    if problems:
        raise Refused(*problems)
