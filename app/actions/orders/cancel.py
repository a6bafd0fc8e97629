"""This module cancels an order, or reopens it."""

from app.actions.context import Context
from app.actions.errors import ChangedMeanwhile
from app.actions.orders.overrides import NO_OVERRIDES, Overrides, overrides_to_reopen
from app.actions.records.descriptions import HistoryFormats, describe_changes, describe_order
from app.actions.records.history import history_of
from app.actions.records.orders import load_order, next_version
from app.actions.records.taps import handed_over_parts
from app.actions.stock.consumption import consume_balloons, stock_used_by
from app.quoting.errors import Problem, Refused
from app.quoting.states import OrderState
from app.store.models import Order

NOT_REOPENED = "Order {number} is handed over. It cannot be reopened."


def cancel_order(context: Context, number: int, version: int) -> Order:
    """Cancels the order. Raises NotFound, Refused, ChangedMeanwhile."""
    order = load_order(context.session, number, to_change=True)
    if order.state == OrderState.CANCELLED:
        return order
    if order.version != version:
        raise ChangedMeanwhile(order, history_of(context.session, order, version))
    if order.state != OrderState.OPEN:
        raise Refused(Problem("order", f"Order {number} is handed over. It can no longer be cancelled."))
    if handed_over_parts(context.session, order):
        raise Refused(
            Problem("order", "A part of this order is handed over. Edit the order and remove the other lines.")
        )
    _set_state(context, order, OrderState.CANCELLED)
    next_version(context, order, "cancelled", [])
    return order


def reopen_order(
    context: Context,
    number: int,
    typed: Overrides = NO_OVERRIDES,
) -> Order:
    """Reopens a cancelled order as it was.

    It needs a reason if the bench cannot make it in time or something is short; the saved reason stays unless
    another is typed. Raises NotFound, Refused.
    """
    order = load_order(context.session, number, to_change=True)
    if order.state == OrderState.HANDED_OVER:
        raise Refused(Problem("order", NOT_REOPENED.format(number=number)))
    if order.is_quick_sale:
        raise Refused(Problem("order", f"Quick sale {number} was undone. Sell it again as a quick sale."))
    if order.state == OrderState.CANCELLED:
        with context.session.begin_nested():  # the bench counts only the work of open orders
            _set_state(context, order, OrderState.OPEN)
            said = overrides_to_reopen(context, order, typed)
        formats = HistoryFormats.of(context.shop)
        before = describe_order(order, formats)
        order.bench_override, order.stock_override = said.bench, said.stock
        changes = describe_changes(before, describe_order(order, formats))
        next_version(context, order, "reopened", changes)
    return order


def _set_state(context: Context, order: Order, state: OrderState) -> None:
    """Changes the state of the order and updates the stock.

    All that was filled for a cancelled order is taken from stock; for an open order only whole batches are.
    """
    before = [(batch, stock_used_by(batch)) for batch in order.batches]
    order.state = state
    for batch, used in before:
        consume_balloons(context, batch, used)
