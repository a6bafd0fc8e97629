"""The reason for which an order is accepted although goods or gas are short: required then, and saved."""

from datetime import datetime

from app.actions.context import Context
from app.actions.gas.outlook import gas_is_short
from app.actions.records.history import lock_board
from app.actions.records.rebuild_request import commitments_of, rebuild_request
from app.actions.stock.shortages import Stock, find_shortages
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.quoting.quote import Commitments, Quote, make_quote
from app.quoting.shop import Shop
from app.store.models import Order

WANTING = Problem(
    "stock_override",
    "Not enough of it is there: say why it is taken all the same. It is kept and printed on the ticket.",
)


def stock_override_of_new(context: Context, quote: Quote, commitments: Commitments) -> str | None:
    """Returns the reason to save with a new order; None if one is required and missing.

    It is empty if all is there, or if all of the order is filled already.
    """
    if all(plan.fill.spec in commitments.started for plan in quote.batches):
        return ""
    if not _ask(context, quote).shorts and not gas_is_short(context, quote):
        return ""
    return quote.request.stock_override.strip() or None


def stock_override_of_changed(context: Context, order: Order, quote: Quote) -> str | None:
    """Returns the reason to save with a changed order, before the change is made; None if one is required and
    missing.

    A change that makes nothing shorter needs no new reason.
    """
    found = _ask(context, quote, order.number)
    gas = gas_is_short(context, quote, order.number)
    if not found.shorts and not gas:
        return ""
    said = quote.request.stock_override.strip()
    before = _as_it_stands(order, context.shop, context.catalogue, context.now)
    if gas or before is None or found.is_shorter_than(_ask(context, before, order.number)):
        return said or None
    return said or order.stock_override


def stock_override_to_reopen(context: Context, order: Order, typed: str) -> str | None:
    """Returns the reason to save when a cancelled order is opened again; None if one is required and missing.

    The order is open by now. If nothing is typed, its former reason stays.
    """
    quote = _as_it_stands(order, context.shop, context.catalogue, context.now)
    if quote is None:
        return order.stock_override
    gas = gas_is_short(context, quote, order.number, reopened=True)
    if not gas and not _ask(context, quote, order.number).shorts:
        return order.stock_override
    return typed.strip() or order.stock_override or None


def _as_it_stands(order: Order, shop: Shop, catalogue: Catalogue, now: datetime) -> Quote | None:
    """Returns the quote of the order as it is saved; None if the shop's settings no longer allow the order."""
    try:
        return make_quote(rebuild_request(order), shop, catalogue, now, commitments_of(order))
    except Refused:
        return None


def _ask(
    context: Context,
    quote: Quote,
    excluding_order: int | None = None,
) -> Stock:
    """Returns what the stock says about the quote. One counter asks at a time: the second waits, and then sees the
    first one's order."""
    lock_board(context.session)
    return find_shortages(context, quote, excluding_order)
