"""This module takes an order, and changes it."""

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy.orm import Session

from app.actions.bench.fit import load_bench, share_bench
from app.actions.bench.taps import update_batch_progress
from app.actions.context import Context
from app.actions.errors import ChangedMeanwhile
from app.actions.orders.customers import assign_customer, share_allergy
from app.actions.orders.overrides import (
    Overrides,
    ask_bench,
    overrides_of_changed,
    overrides_of_new,
)
from app.actions.orders.surplus import find_surplus, refuse_surplus, save_fate
from app.actions.records.batches import spec_of, sync_batches
from app.actions.records.descriptions import HistoryFormats, describe_changes, describe_order
from app.actions.records.history import (
    ORDER_NUMBER,
    allocate_number,
    history_of,
    lock_board,
    touch_board,
    write_history,
)
from app.actions.records.orders import load_order, next_version, order_with_key, refuse_not_made
from app.actions.records.rebuild_request import commitments_of, rebuild_request
from app.actions.records.sold_rows import extra_row, line_row
from app.actions.records.taps import handed_over_parts, parts_of, undo_premature_steps
from app.actions.rentals.sync import sync_rentals
from app.actions.stock.consumption import consume_supplies
from app.craft.cost import CostLine, cost_minor
from app.planning.window import Verdict
from app.quoting.bill import MOST_MINOR, TOO_DEAR, refuse_too_dear, write_discount
from app.quoting.checks import check_hours
from app.quoting.errors import Problem, Refused
from app.quoting.extras import with_saved_prices
from app.quoting.order_cost import cost_of
from app.quoting.quote import NO_COMMITMENTS, Commitments, Quote, make_quote
from app.quoting.rental_returns import refuse_wrong_return
from app.quoting.request import OrderRequest
from app.quoting.states import FilledFate, OrderPart, OrderState
from app.store.models import Order
from app.store.search_keys import digits_of, fold_text

PART_GONE = {
    OrderPart.MAIN: "The main part is already handed over. Change only the later part.",
    OrderPart.LATER: "The later part is already handed over. Change only the main part.",
}


def key_taken(number: int, customer: str) -> Problem:
    """Returns the problem of a form whose key belongs to another order. The form gets a new key with it, so that
    saving again takes an order of its own."""
    saved = f"Order {number} for {customer} was saved from this form before, and with other contents."
    again = "If this is one more order, save again: it gets a number of its own. If not, edit the saved one."
    return Problem("client_key", f"{saved} {again}")


def take_order(
    context: Context,
    request: OrderRequest,
    client_key: str,
    commitments: Commitments = NO_COMMITMENTS,
) -> Order:
    """Saves a new order and returns it, with its number. A second call with the same key returns the first one's
    order.

    commitments: what of it is filled already. Raises Refused.
    """
    lock_board(context.session)  # one counter saves at a time; the second then sees the first one's order
    if known := order_with_key(context.session, client_key):
        _refuse_other(known, request)
        return known
    check_hours(request, context.now)
    quote = make_quote(request, context.shop, context.catalogue, context.now, commitments)
    refuse_too_dear(quote.bill)
    refuse_wrong_return(quote)
    bench = load_bench(context, quote)
    quote = share_bench(quote, bench, context.shop.certainty)
    overrides = overrides_of_new(context, quote, commitments, bench)
    order = Order(
        number=0, client_key=client_key, version=1, state=OrderState.OPEN, taken_at=context.now, batches_numbered=0
    )
    order.batches, order.rentals = [], []  # known to be none, so that they are not looked for
    write_order(order, quote, overrides, cost_of(quote, context.catalogue, context.shop))
    order.number = allocate_number(context.session, ORDER_NUMBER)
    assign_customer(context, order, request.customer_id)
    share_allergy(context, order, request.customer_id)
    context.session.add(order)
    context.session.flush()  # gives the order its id, which its history names
    sync_batches(order, quote)
    sync_rentals(context.session, order, quote)
    write_history(context, order, "saved", [])
    touch_board(context.session)
    context.session.flush()
    return order


def _refuse_other(known: Order, request: OrderRequest) -> None:
    """Raises Refused if the order is not the one saved before. The same form sent twice is one order; the same form
    with other contents is a mistake."""
    if not _is_same(known, request):
        raise Refused(key_taken(known.number, known.customer))


def _is_same(known: Order, request: OrderRequest) -> bool:
    """Returns whether the order is saved as the request asks for it, apart from reasons for accepting it anyway."""
    saved = rebuild_request(known)
    at_press = request.ready_by is None or known.is_quick_sale  # pressed twice, they have two moments
    ready_by = saved.ready_by if at_press else request.ready_by
    asked = replace(request, accepted_risk=saved.accepted_risk, customer_id=saved.customer_id)
    asked = replace(asked, bench_override=saved.bench_override, stock_override=saved.stock_override)
    asked = replace(asked, latex_allergy=saved.latex_allergy or request.latex_allergy)
    same = replace(asked, ready_by=ready_by, extras=with_saved_prices(request.extras, saved.extras))
    return same == saved


def change_order(
    context: Context,
    number: int,
    version: int,
    request: OrderRequest,
    fate: FilledFate | None = None,
) -> Order:
    """Changes the order and returns it. fate: what becomes of filled balloons that it no longer needs. Raises
    NotFound, Refused, and ChangedMeanwhile when `version` is no longer the order's."""
    order = load_order(context.session, number, to_change=True)
    if order.version != version:
        if _is_same(order, request):  # the first press was saved, and its answer was lost
            return order
        raise ChangedMeanwhile(order, history_of(context.session, order, version))
    if order.state != OrderState.OPEN:
        raise Refused(Problem("order", f"Order {number} is {order.state} and can no longer be changed."))
    refuse_not_made(order)
    check_hours(request, context.now, rebuild_request(order))
    quote = make_quote(request, context.shop, context.catalogue, context.now, commitments_of(order))
    refuse_too_dear(quote.bill)
    refuse_wrong_return(quote)
    _refuse_gone(context.session, order, quote)
    surplus = find_surplus(order, quote)
    refuse_surplus(surplus, fate)
    bench = ask_bench(context, quote, number)
    quote = share_bench(quote, bench, context.shop.certainty)
    overrides = overrides_of_changed(context, order, quote, bench)
    formats = HistoryFormats.of(context.shop)
    before, caller = describe_order(order, formats), (order.customer, order.phone)
    customer_before, was_allergic = order.customer_id, order.latex_allergy
    write_order(order, quote, overrides, cost_of(quote, context.catalogue, context.shop))
    sync_rentals(context.session, order, quote)
    if caller != (order.customer, order.phone) or request.customer_id not in (None, order.customer_id):
        assign_customer(context, order, request.customer_id, caller)
    if order.customer_id != customer_before or (order.latex_allergy and not was_allergic):
        share_allergy(context, order, request.customer_id)
    sync_batches(order, quote)
    left_over = save_fate(context, order, surplus, fate)
    for batch in order.batches:
        if batch.started_at:
            update_batch_progress(context, batch)
    undo_premature_steps(context, order)
    changes = [*describe_changes(before, describe_order(order, formats)), *left_over]
    if changes:
        next_version(context, order, "changed", changes)
    if handed_over_parts(context.session, order) >= parts_of(order):  # the part that had not left was removed
        order.state, order.handed_over_at = OrderState.HANDED_OVER, context.now
        consume_supplies(context, order)
        next_version(context, order, "handed over", [])
    context.session.flush()
    return order


def _refuse_gone(session: Session, order: Order, quote: Quote) -> None:
    """Raises Refused for a change of what has left the shop."""
    for part in handed_over_parts(session, order):
        was = {spec_of(batch): dict(batch.colours) for batch in order.batches if batch.quantity}
        wanted = {plan.fill.spec: dict(plan.fill.colours) for plan in quote.batches}
        if any(was.get(spec) != wanted.get(spec) for spec in {*was, *wanted} if spec.part is part):
            raise Refused(Problem("order", PART_GONE[part]))


def write_order(order: Order, quote: Quote, overrides: Overrides, cost: Sequence[CostLine]) -> None:
    """Writes the quote, the reasons and the cost to the order."""
    request = quote.request
    order.customer, order.customer_folded, order.phone = (
        request.customer,
        fold_text(request.customer),
        request.phone,
    )
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
    order.latex_allergy = request.latex_allergy
    order.later_at, order.crew = request.later_at, request.crew
    if order.later_at is None:
        order.later_holding_place = None
    order.set_up_minutes, order.hanging_minutes = request.set_up_minutes, request.hanging_minutes
    order.venue_minor = quote.venue_minor
    order.verdict = quote.float_verdict
    order.accepted_risk = request.accepted_risk.strip() if quote.float_verdict is not Verdict.SAFE else ""
    order.bench_override, order.stock_override = overrides.bench, overrides.stock
    order.return_by, order.take_down_at = request.return_by, request.take_down_at
    _write_amounts(order, quote, cost)
    order.finishing_minutes = int(quote.finishing.total_seconds() // 60)
    order.first_fill_by = quote.first_fill_by
    order.lines = [line_row(line, place) for place, line in enumerate(quote.lines)]
    order.extras = [extra_row(extra, place) for place, extra in enumerate(quote.extras)]


def _write_amounts(order: Order, quote: Quote, cost: Sequence[CostLine]) -> None:
    """Writes the money of the quote to the order."""
    bill = quote.bill
    order.discount, order.discount_minor = write_discount(quote.request.discount), bill.discount_minor
    order.tax_mode, order.tax_percent, order.tax_minor = quote.tax.mode, quote.tax.percent, bill.tax_minor
    order.total_minor, order.rental_deposit_minor = bill.total_minor, bill.refundable_minor
    order.deposit_asked_minor = bill.deposit_minor
    order.cost, order.cost_minor = [[line.title, line.minor] for line in cost], cost_minor(cost)
    if order.cost_minor > MOST_MINOR:
        raise Refused(TOO_DEAR)
