"""Take an order, change it, cancel it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from app.actions.bench.taps import settle_batch
from app.actions.errors import ChangedMeanwhile, NotFound, Problem, Refused
from app.actions.money.bills import fill_in_money, refuse_too_dear
from app.actions.orders.customers import give_order
from app.actions.orders.overrides import (
    NO_OVERRIDES,
    Overrides,
    overrides_of_changed,
    overrides_of_new,
    overrides_to_reopen,
)
from app.actions.records.batches import spec_of, sync_batches
from app.actions.records.descriptions import Changes, describe_changes, describe_order
from app.actions.records.history import ORDER_NUMBER, allocate_number, history_of, touch_board, write_history
from app.actions.records.rebuild_request import commitments_of, rebuild_request
from app.actions.records.shop import Catalogue, Shop
from app.actions.records.sold_rows import line_row
from app.actions.records.taps import gone_parts, hand_overs, undo_steps
from app.actions.rentals.sync import sync_rentals
from app.actions.stock.consumption import consume_balloons, consume_supplies, gone_for
from app.craft.cost import CostLine
from app.planning.window import Verdict
from app.quoting.checks import check_hours
from app.quoting.extras import extra_row, priced_as
from app.quoting.order_cost import cost_of
from app.quoting.quote import NO_COMMITMENTS, Commitments, Quote, make_quote
from app.quoting.rental_returns import refuse_unsaid_return
from app.quoting.request import OrderRequest
from app.quoting.states import OrderState
from app.store.models import Order
from app.store.search_keys import digits_of, fold


def take_order(
    session: Session,
    who: str,
    request: OrderRequest,
    shop: Shop,
    catalogue: Catalogue,
    now: datetime,
    client_key: str,
    commitments: Commitments = NO_COMMITMENTS,
) -> Order:
    """The order, with its number. A second call with the same key gives the first one's order. standing: what
    of it is filled already. Raises Refused."""
    if known := order_with_key(session, client_key):
        _refuse_other(known, request)
        return known
    check_hours(request, now)
    quote = make_quote(request, shop, catalogue, now, commitments)
    refuse_too_dear(quote.bill)
    refuse_unsaid_return(quote)
    said = overrides_of_new(session, quote, commitments, shop, catalogue, now)
    order = Order(
        number=0, client_key=client_key, version=1, state=OrderState.OPEN, taken_at=now, batches_numbered=0
    )
    fill_in(order, quote, said, cost_of(quote, catalogue, shop))
    try:
        with session.begin_nested():
            order.number = allocate_number(session, ORDER_NUMBER)
            give_order(session, who, order, request.customer_id, now)
            session.add(order)
            session.flush()  # the key is taken here, or somebody was quicker
    except IntegrityError:
        if known := order_with_key(session, client_key):
            return known
        raise
    sync_batches(order, quote)
    sync_rentals(session, order, quote)
    write_history(session, order, who, "taken", [], now)
    touch_board(session)
    session.flush()
    return order


def order_with_key(session: Session, client_key: str) -> Order | None:
    return session.scalar(select(Order).where(Order.client_key == client_key))


def _refuse_other(known: Order, request: OrderRequest) -> None:
    """A form that comes again is one order; the same form with something else in it is a slip."""
    saved = rebuild_request(known)
    ready_by = request.ready_by or saved.ready_by
    said = replace(request, accepted_risk=saved.accepted_risk, customer_id=saved.customer_id)
    said = replace(said, bench_override=saved.bench_override, stock_override=saved.stock_override)
    same = replace(said, ready_by=ready_by, extras=priced_as(request.extras, saved.extras))
    if same != saved:
        sentence = (
            f"This form was taken already, as order {known.number}: change that one, or begin with a new form."
        )
        raise Refused(Problem("order", sentence))


def load_order(session: Session, number: int, *, to_change: bool = False) -> Order:
    """Raises NotFound. to_change: nobody else may change it until the session ends."""
    found = select(Order).where(Order.number == number)
    order = session.scalar(found.with_for_update() if to_change else found)
    if order is None:
        raise NotFound(f"There is no order {number}.")
    return order


def change_order(
    session: Session,
    who: str,
    number: int,
    version: int,
    request: OrderRequest,
    shop: Shop,
    catalogue: Catalogue,
    now: datetime,
) -> Order:
    """Raises NotFound, Refused, and ChangedMeanwhile when `version` is no longer the order's."""
    order = load_order(session, number, to_change=True)
    if order.version != version:
        raise ChangedMeanwhile(order, history_of(session, order, version))
    if order.state != OrderState.OPEN:
        raise Refused(Problem("order", f"Order {number} is {order.state}: it is no longer changed."))
    check_hours(request, now, order)
    quote = make_quote(request, shop, catalogue, now, commitments_of(order))
    refuse_too_dear(quote.bill)
    refuse_unsaid_return(quote)
    _refuse_gone(session, order, quote)
    said = overrides_of_changed(session, order, quote, shop, catalogue, now)
    before, caller = describe_order(order, shop.zone, shop.decimals), (order.customer, order.phone)
    fill_in(order, quote, said, cost_of(quote, catalogue, shop))
    sync_rentals(session, order, quote)
    if caller != (order.customer, order.phone) or request.customer_id not in (None, order.customer_id):
        give_order(session, who, order, request.customer_id, now, caller)
    sync_batches(order, quote)
    for batch in order.batches:
        if batch.started_at:
            settle_batch(session, who, batch, now)
    undo_steps(session, who, order, now)
    changes = describe_changes(before, describe_order(order, shop.zone, shop.decimals))
    if changes:
        next_version(session, order, who, "changed", changes, now)
    if gone_parts(session, order) >= hand_overs(order):  # what was to follow is wanted no more
        order.state, order.handed_over_at = OrderState.HANDED_OVER, now
        consume_supplies(session, who, order, now)
        next_version(session, order, who, "handed over", [], now)
    session.flush()
    return order


def _refuse_gone(session: Session, order: Order, quote: Quote) -> None:
    """What has left the shop is changed no more."""
    for later in gone_parts(session, order):
        was = {spec_of(batch): dict(batch.colours) for batch in order.batches if batch.quantity}
        wanted = {plan.fill.spec: dict(plan.fill.colours) for plan in quote.batches}
        if any(was.get(spec) != wanted.get(spec) for spec in {*was, *wanted} if spec.later is later):
            part, other = ("later", "first") if later else ("first", "later")
            sentence = f"The {part} part is handed over already: only what is in the {other} part can be changed."
            raise Refused(Problem("order", sentence))


def cancel_order(session: Session, who: str, number: int, version: int, now: datetime) -> Order:
    """Raises NotFound, Refused, ChangedMeanwhile."""
    order = load_order(session, number, to_change=True)
    if order.state == OrderState.CANCELLED:
        return order
    if order.version != version:
        raise ChangedMeanwhile(order, history_of(session, order, version))
    if order.state != OrderState.OPEN:
        raise Refused(Problem("order", f"Order {number} is handed over: it can no longer be cancelled."))
    if gone_parts(session, order):
        raise Refused(
            Problem("order", "A part of it is handed over already: change the order, and take out the rest.")
        )
    _set_state(session, who, order, OrderState.CANCELLED, now)
    next_version(session, order, who, "cancelled", [], now)
    return order


def reopen_order(
    session: Session,
    who: str,
    number: int,
    shop: Shop,
    catalogue: Catalogue,
    now: datetime,
    typed: Overrides = NO_OVERRIDES,
) -> Order:
    """A cancelled order is open again, as it was; with a reason where the bench does not fit with it or something
    is short, the one kept unless another is given. Raises NotFound, Refused."""
    order = load_order(session, number, to_change=True)
    if order.state == OrderState.HANDED_OVER:
        raise Refused(Problem("order", f"Order {number} is handed over."))
    if order.is_quick_sale:
        raise Refused(Problem("order", f"Sale {number} was taken back: sell it anew at the counter."))
    if order.state == OrderState.CANCELLED:
        with session.begin_nested():  # only an open order's work is known to the bench
            _set_state(session, who, order, OrderState.OPEN, now)
            said = overrides_to_reopen(session, order, typed, shop, catalogue, now)
        before = describe_order(order, shop.zone, shop.decimals)
        order.bench_override, order.stock_override = said.bench, said.short
        changes = describe_changes(before, describe_order(order, shop.zone, shop.decimals))
        next_version(session, order, who, "opened again", changes, now)
    return order


def _set_state(session: Session, who: str, order: Order, state: OrderState, now: datetime) -> None:
    """What was filled for an order that nobody wants is gone from the shelves; while it is open only whole batches
    are."""
    before = [(batch, gone_for(batch)) for batch in order.batches]
    order.state = state
    for batch, gone in before:
        consume_balloons(session, who, batch, gone, now)


def next_version(session: Session, order: Order, who: str, act: str, changes: Changes, now: datetime) -> None:
    order.version += 1
    write_history(session, order, who, act, changes, now)
    touch_board(session)


def fill_in(order: Order, quote: Quote, said: Overrides, cost: Sequence[CostLine]) -> None:
    request = quote.request
    order.customer, order.customer_folded, order.phone = request.customer, fold(request.customer), request.phone
    order.phone_digits = digits_of(request.phone)
    order.occasion, order.event_start, order.lasts_until = (
        request.occasion,
        request.event_start,
        request.lasts_until,
    )
    order.surroundings = request.surroundings
    order.venue_celsius, order.venue_elevation_m = request.venue_celsius, request.venue_elevation_m
    order.wind_m_s = request.wind_m_s
    order.hand_over, order.ready_by, order.arrives_at = request.hand_over, quote.leaves_at, request.arrives_at
    order.travel_minutes, order.address, order.notes = request.travel_minutes, request.address, request.notes
    order.later_at, order.crew = request.later_at, request.crew
    order.set_up_minutes, order.hanging_minutes = request.set_up_minutes, request.hanging_minutes
    order.venue_minor = quote.venue_minor
    order.verdict = quote.verdict
    order.accepted_risk = request.accepted_risk.strip() if quote.verdict is not Verdict.SAFE else ""
    order.bench_override, order.stock_override = said.bench, said.short
    order.return_by, order.take_down_at = request.return_by, request.take_down_at
    fill_in_money(order, quote, cost)
    order.finishing_minutes = int(quote.finishing.total_seconds() // 60)
    order.first_fill_by = quote.first_fill_by
    order.lines = [line_row(line, place) for place, line in enumerate(quote.lines)]
    order.extras = [extra_row(extra, place) for place, extra in enumerate(quote.extras)]
