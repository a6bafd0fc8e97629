"""Take an order, change it, cancel it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from app.actions.bench.taps import settle_batch
from app.actions.errors import ChangedMeanwhile, NotThere, Problem, Refused
from app.actions.money.bills import fill_in_money, refuse_too_dear
from app.actions.orders.customers import give_order
from app.actions.orders.overrides import NO_REASONS, Reasons, reasons_of_changed, reasons_of_new, reasons_to_reopen
from app.actions.records.batches import batch_of, lay_batches
from app.actions.records.descriptions import Changes, tell_changes, tell_order
from app.actions.records.history import ORDER_NUMBER, draw_number, history_of, touch_board, write_history
from app.actions.records.rebuild_request import standing_of, wish_of
from app.actions.records.shop import Goods, Shop
from app.actions.records.sold_rows import line_row
from app.actions.records.taps import gone_parts, hand_overs, take_back_steps
from app.actions.rentals.sync import lay_hires
from app.actions.stock.consumption import draw_balloons, draw_supplies, gone_for
from app.craft.cost import CostLine
from app.planning.window import Verdict
from app.quoting.checks import check_hours
from app.quoting.extras import extra_row, priced_as
from app.quoting.order_cost import cost_of
from app.quoting.quote import NEW, Quote, Standing, quote
from app.quoting.rental_returns import refuse_unsaid_return
from app.quoting.request import OrderWish
from app.store.models import Order
from app.store.search_keys import digits_of, fold


def take_order(
    session: Session,
    who: str,
    wish: OrderWish,
    shop: Shop,
    goods: Goods,
    now: datetime,
    client_key: str,
    standing: Standing = NEW,
) -> Order:
    """The order, with its number. A second call with the same key gives the first one's order. standing: what
    of it is filled already. Raises Refused."""
    if known := order_with_key(session, client_key):
        _refuse_other(known, wish)
        return known
    check_hours(wish, now)
    answer = quote(wish, shop, goods, now, standing)
    refuse_too_dear(answer.bill)
    refuse_unsaid_return(answer)
    said = reasons_of_new(session, answer, standing, shop, goods, now)
    order = Order(number=0, client_key=client_key, version=1, state="open", taken_at=now, batches_laid=0)
    fill_in(order, answer, said, cost_of(answer, goods, shop))
    try:
        with session.begin_nested():
            order.number = draw_number(session, ORDER_NUMBER)
            give_order(session, who, order, wish.customer_id, now)
            session.add(order)
            session.flush()  # the key is taken here, or somebody was quicker
    except IntegrityError:
        if known := order_with_key(session, client_key):
            return known
        raise
    lay_batches(order, answer)
    lay_hires(session, order, answer)
    write_history(session, order, who, "taken", [], now)
    touch_board(session)
    session.flush()
    return order


def order_with_key(session: Session, client_key: str) -> Order | None:
    return session.scalar(select(Order).where(Order.client_key == client_key))


def _refuse_other(known: Order, wish: OrderWish) -> None:
    """A form that comes again is one order; the same form with something else in it is a slip."""
    kept = wish_of(known)
    ready_by = wish.ready_by or kept.ready_by
    said = replace(wish, word=kept.word, customer_id=kept.customer_id)
    said = replace(said, bench_reason=kept.bench_reason, short_reason=kept.short_reason)
    same = replace(said, ready_by=ready_by, extras=priced_as(wish.extras, kept.extras))
    if same != kept:
        sentence = (
            f"This form was taken already, as order {known.number}: change that one, or begin with a new form."
        )
        raise Refused(Problem("order", sentence))


def load_order(session: Session, number: int, *, to_change: bool = False) -> Order:
    """Raises NotThere. to_change: nobody else may change it until the session ends."""
    found = select(Order).where(Order.number == number)
    order = session.scalar(found.with_for_update() if to_change else found)
    if order is None:
        raise NotThere(f"There is no order {number}.")
    return order


def change_order(
    session: Session,
    who: str,
    number: int,
    version: int,
    wish: OrderWish,
    shop: Shop,
    goods: Goods,
    now: datetime,
) -> Order:
    """Raises NotThere, Refused, and ChangedMeanwhile when `version` is no longer the order's."""
    order = load_order(session, number, to_change=True)
    if order.version != version:
        raise ChangedMeanwhile(order, history_of(session, order, version))
    if order.state != "open":
        raise Refused(Problem("order", f"Order {number} is {order.state}: it is no longer changed."))
    check_hours(wish, now, order)
    answer = quote(wish, shop, goods, now, standing_of(order))
    refuse_too_dear(answer.bill)
    refuse_unsaid_return(answer)
    _refuse_gone(session, order, answer)
    said = reasons_of_changed(session, order, answer, shop, goods, now)
    before, caller = tell_order(order, shop.zone, shop.decimals), (order.customer, order.phone)
    fill_in(order, answer, said, cost_of(answer, goods, shop))
    lay_hires(session, order, answer)
    if caller != (order.customer, order.phone) or wish.customer_id not in (None, order.customer_id):
        give_order(session, who, order, wish.customer_id, now, caller)
    lay_batches(order, answer)
    for batch in order.batches:
        if batch.started_at:
            settle_batch(session, who, batch, now)
    take_back_steps(session, who, order, now)
    changes = tell_changes(before, tell_order(order, shop.zone, shop.decimals))
    if changes:
        next_version(session, order, who, "changed", changes, now)
    if gone_parts(session, order) >= hand_overs(order):  # what was to follow is wanted no more
        order.state, order.handed_over_at = "handed over", now
        draw_supplies(session, who, order, now)
        next_version(session, order, who, "handed over", [], now)
    session.flush()
    return order


def _refuse_gone(session: Session, order: Order, answer: Quote) -> None:
    """What has left the shop is changed no more."""
    for later in gone_parts(session, order):
        was = {batch_of(batch): dict(batch.colours) for batch in order.batches if batch.quantity}
        wanted = {plan.fill.of: dict(plan.fill.colours) for plan in answer.batches}
        if any(was.get(of) != wanted.get(of) for of in {*was, *wanted} if of.later is later):
            part, other = ("later", "first") if later else ("first", "later")
            sentence = f"The {part} part is handed over already: only what is in the {other} part can be changed."
            raise Refused(Problem("order", sentence))


def cancel_order(session: Session, who: str, number: int, version: int, now: datetime) -> Order:
    """Raises NotThere, Refused, ChangedMeanwhile."""
    order = load_order(session, number, to_change=True)
    if order.state == "cancelled":
        return order
    if order.version != version:
        raise ChangedMeanwhile(order, history_of(session, order, version))
    if order.state != "open":
        raise Refused(Problem("order", f"Order {number} is handed over: it can no longer be cancelled."))
    if gone_parts(session, order):
        raise Refused(
            Problem("order", "A part of it is handed over already: change the order, and take out the rest.")
        )
    _set_state(session, who, order, "cancelled", now)
    next_version(session, order, who, "cancelled", [], now)
    return order


def reopen_order(
    session: Session,
    who: str,
    number: int,
    shop: Shop,
    goods: Goods,
    now: datetime,
    typed: Reasons = NO_REASONS,
) -> Order:
    """A cancelled order is open again, as it was; with a reason where the bench does not fit with it or something
    is short, the one kept unless another is given. Raises NotThere, Refused."""
    order = load_order(session, number, to_change=True)
    if order.state == "handed over":
        raise Refused(Problem("order", f"Order {number} is handed over."))
    if order.sold_at_once:
        raise Refused(Problem("order", f"Sale {number} was taken back: sell it anew at the counter."))
    if order.state == "cancelled":
        with session.begin_nested():  # only an open order's work is known to the bench
            _set_state(session, who, order, "open", now)
            said = reasons_to_reopen(session, order, typed, shop, goods, now)
        before = tell_order(order, shop.zone, shop.decimals)
        order.bench_reason, order.short_reason = said.bench, said.short
        changes = tell_changes(before, tell_order(order, shop.zone, shop.decimals))
        next_version(session, order, who, "opened again", changes, now)
    return order


def _set_state(session: Session, who: str, order: Order, state: str, now: datetime) -> None:
    """What was filled for an order that nobody wants is gone from the shelves; while it is open only whole batches
    are."""
    before = [(batch, gone_for(batch)) for batch in order.batches]
    order.state = state
    for batch, gone in before:
        draw_balloons(session, who, batch, gone, now)


def next_version(session: Session, order: Order, who: str, act: str, changes: Changes, now: datetime) -> None:
    order.version += 1
    write_history(session, order, who, act, changes, now)
    touch_board(session)


def fill_in(order: Order, answer: Quote, said: Reasons, cost: Sequence[CostLine]) -> None:
    wish = answer.wish
    order.customer, order.customer_folded, order.phone = wish.customer, fold(wish.customer), wish.phone
    order.phone_digits = digits_of(wish.phone)
    order.occasion, order.event_start, order.lasts_until = wish.occasion, wish.event_start, wish.lasts_until
    order.surroundings = wish.surroundings
    order.venue_celsius, order.venue_elevation_m = wish.venue_celsius, wish.venue_elevation_m
    order.wind_m_s = wish.wind_m_s
    order.hand_over, order.ready_by, order.arrives_at = wish.hand_over, answer.leaves_at, wish.arrives_at
    order.travel_minutes, order.address, order.notes = wish.travel_minutes, wish.address, wish.notes
    order.later_at, order.crew = wish.later_at, wish.crew
    order.set_up_minutes, order.hanging_minutes = wish.set_up_minutes, wish.hanging_minutes
    order.venue_minor = answer.venue_minor
    order.verdict = answer.verdict
    order.word = wish.word.strip() if answer.verdict is not Verdict.SAFE else ""
    order.bench_reason, order.short_reason = said.bench, said.short
    order.return_by, order.take_down_at = wish.return_by, wish.take_down_at
    fill_in_money(order, answer, cost)
    order.tail_minutes = int(answer.tail.total_seconds() // 60)
    order.first_fill_by = answer.first_fill_by
    order.lines = [line_row(line, place) for place, line in enumerate(answer.lines)]
    order.extras = [extra_row(extra, place) for place, extra in enumerate(answer.extras)]
