"""Why an order is taken although goods or gas are short: asked for where they are, and kept."""

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
    """What is kept with an order that is taken: nothing where all is there, or where it is filled already. None
    where a reason is wanting."""
    if all(plan.fill.spec in commitments.started for plan in quote.batches):
        return ""
    if not _ask(context, quote).shorts and not gas_is_short(context, quote):
        return ""
    return quote.request.stock_override.strip() or None


def stock_override_of_changed(context: Context, order: Order, quote: Quote) -> str | None:
    """The same for a change, before it is made; one that makes nothing shorter needs no other reason."""
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
    """The same for an order that was cancelled and is open by now: where nothing is typed it keeps the reason that
    it has."""
    quote = _as_it_stands(order, context.shop, context.catalogue, context.now)
    if quote is None:
        return order.stock_override
    gas = gas_is_short(context, quote, order.number, reopened=True)
    if not gas and not _ask(context, quote, order.number).shorts:
        return order.stock_override
    return typed.strip() or order.stock_override or None


def _as_it_stands(order: Order, shop: Shop, catalogue: Catalogue, now: datetime) -> Quote | None:
    """None where the shop's settings allow the order no longer."""
    try:
        return make_quote(rebuild_request(order), shop, catalogue, now, commitments_of(order))
    except Refused:
        return None


def _ask(
    context: Context,
    quote: Quote,
    excluding_order: int | None = None,
) -> Stock:
    """Asked by one counter at a time: the second waits, and then sees the first one's order."""
    lock_board(context.session)
    return find_shortages(context, quote, excluding_order)
