"""Goods on their way: noted when they are ordered, received when they come, withdrawn when they will not."""

from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from app.actions.errors import NotThere, Problem, Refused
from app.actions.history import touch_board
from app.actions.shop import Goods
from app.actions.stock.articles import Article, shelved_as
from app.actions.stock.habits import OnHand
from app.actions.stock.lots import Arrival, receive
from app.store.models import Delivery, Lot

MOST_PACKS = 10_000
FURTHEST = timedelta(days=366)


def note_delivery(
    session: Session,
    who: str,
    article: Article,
    colour: str,
    packs: int,
    due_on: date,
    goods: Goods,
    now: datetime,
    client_key: str,
) -> Delivery:
    """Whole packs, as the kind or supply is bought now. A second call with the same key gives the first one's.
    Raises Refused, at packs or due_on."""
    if known := _with_key(session, client_key):
        return known
    _refuse(packs, due_on, now.date())
    tidy = " ".join(colour.split())
    delivery = Delivery(
        client_key=client_key,
        kind_id=article.kind_id or None,
        supply_id=article.supply_id or None,
        colour=tidy,
        colour_folded=shelved_as(tidy),
        packs=packs,
        pieces=packs * article.pack_size(goods),
        due_on=due_on,
        noted_at=now,
        who=who,
    )
    try:
        with session.begin_nested():
            session.add(delivery)
            session.flush()  # the key is taken here, or the form came before
    except IntegrityError:
        if known := _with_key(session, client_key):
            return known
        raise
    touch_board(session)
    return delivery


def load_delivery(session: Session, delivery_id: int) -> Delivery:
    """Which nobody else may change until the session ends. Raises NotThere."""
    row = session.scalar(select(Delivery).where(Delivery.id == delivery_id).with_for_update())
    if row is None:
        raise NotThere("There is no such delivery.")
    return row


def arrive(
    session: Session, who: str, delivery_id: int, count: float, goods: Goods, now: datetime, on: date
) -> Lot:
    """It came, so many of it; a second press gives the same lot. Raises NotThere, and Refused at count."""
    row = load_delivery(session, delivery_id)
    if row.withdrawn_at is not None:
        raise Refused(Problem("count", "It was withdrawn: receive it on the page of its kind."))
    article = Article(row.kind_id or 0, row.supply_id or 0)
    lot = receive(session, who, Arrival(article, row.colour, count, on), goods, now, f"delivery {row.id}")
    row.lot_id = lot.id
    return lot


def withdraw(session: Session, delivery_id: int, now: datetime) -> Delivery:
    """It will not come. Raises NotThere, and Refused where it came already."""
    row = load_delivery(session, delivery_id)
    if row.lot_id is not None:
        raise Refused(Problem("count", "It came already: count the lot anew if that is wrong."))
    if row.withdrawn_at is None:
        row.withdrawn_at = now
        touch_board(session)
    return row


def next_deliveries(habits: OnHand, today: date) -> tuple[date, date]:
    """The first that can still be ordered, and the one after it; a shop without a fixed day counts on the lead
    alone, and on a week until the next."""
    first = today + timedelta(days=habits.lead_days)
    if habits.delivery_weekday is not None:
        first += timedelta(days=(habits.delivery_weekday - first.weekday()) % 7)
    return first, first + timedelta(days=7)


def _with_key(session: Session, client_key: str) -> Delivery | None:
    return session.scalar(select(Delivery).where(Delivery.client_key == client_key))


def _refuse(packs: int, due_on: date, today: date) -> None:
    problems = []
    if not 1 <= packs <= MOST_PACKS:
        problems.append(Problem("packs", f"How many packs? From 1 to {MOST_PACKS:,}, please."))
    if not today - timedelta(days=1) <= due_on <= today + FURTHEST:
        problems.append(Problem("due_on", "The day on which it comes: from today, within a year."))
    if problems:
        raise Refused(*problems)
