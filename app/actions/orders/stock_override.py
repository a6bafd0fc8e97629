"""Why an order is taken although goods or gas are short: asked for where they are, and kept."""

from datetime import datetime

from sqlalchemy.orm import Session

from app.actions.errors import Problem, Refused
from app.actions.gas.outlook import gas_is_short
from app.actions.records.history import hold_board
from app.actions.records.rebuild_request import standing_of, wish_of
from app.actions.records.shop import Goods, Shop
from app.actions.stock.shortages import Stock, ask_shelves
from app.quoting.quote import Quote, Standing, quote
from app.store.models import Order

WANTING = Problem(
    "short_reason",
    "Not enough of it is there: say why it is taken all the same. It is kept and printed on the ticket.",
)


def short_reason_of_new(
    session: Session, answer: Quote, standing: Standing, shop: Shop, goods: Goods, now: datetime
) -> str | None:
    """What is kept with an order that is taken: nothing where all is there, or where it is filled already. None
    where a reason is wanting."""
    if all(plan.fill.of in standing.begun for plan in answer.batches):
        return ""
    if not _ask(session, answer, shop, goods, now).shorts and not gas_is_short(session, answer, shop, now):
        return ""
    return answer.wish.short_reason.strip() or None


def short_reason_of_changed(
    session: Session, order: Order, answer: Quote, shop: Shop, goods: Goods, now: datetime
) -> str | None:
    """The same for a change, before it is made; one that makes nothing shorter needs no other reason."""
    found = _ask(session, answer, shop, goods, now, order.number)
    gas = gas_is_short(session, answer, shop, now, order.number)
    if not found.shorts and not gas:
        return ""
    said = answer.wish.short_reason.strip()
    before = _as_it_stands(order, shop, goods, now)
    if gas or before is None or found.is_shorter_than(_ask(session, before, shop, goods, now, order.number)):
        return said or None
    return said or order.short_reason


def short_reason_to_reopen(
    session: Session, order: Order, typed: str, shop: Shop, goods: Goods, now: datetime
) -> str | None:
    """The same for an order that was cancelled and is open by now: where nothing is typed it keeps the reason that
    it has."""
    answer = _as_it_stands(order, shop, goods, now)
    if answer is None:
        return order.short_reason
    gas = gas_is_short(session, answer, shop, now, order.number, reopened=True)
    if not gas and not _ask(session, answer, shop, goods, now, order.number).shorts:
        return order.short_reason
    return typed.strip() or order.short_reason or None


def _as_it_stands(order: Order, shop: Shop, goods: Goods, now: datetime) -> Quote | None:
    """None where the shop's settings allow the order no longer."""
    try:
        return quote(wish_of(order), shop, goods, now, standing_of(order))
    except Refused:
        return None


def _ask(session: Session, answer: Quote, shop: Shop, goods: Goods, now: datetime, but: int | None = None) -> Stock:
    """Asked by one counter at a time: the second waits, and then sees the first one's order."""
    hold_board(session)
    return ask_shelves(session, answer, shop, goods, now, but)
