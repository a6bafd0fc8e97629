"""Counter: calculates the quote for a request, and finds again the alternative whose button was pressed."""

from dataclasses import replace

from app.actions.bench.alternatives import find_bench_alternatives
from app.actions.bench.fit import share_bench
from app.actions.context import Context
from app.actions.orders.answer import answer_request, quoting_function, search_bench
from app.actions.orders.surplus import find_surplus
from app.actions.records.rebuild_request import commitments_of
from app.actions.stock.substitutes import Substitute
from app.places.counter.quote_view import ShownQuote, show_quote
from app.places.counter.quoted_money import show_money
from app.places.counter.shown_alternatives import alternative_key
from app.places.counter.still_short import say_what_stays_short
from app.places.counter.stock_notes import offered_substitute, show_stock_notes
from app.planning.finishing import Fit
from app.quoting.alternatives import Alternative, find_alternatives
from app.quoting.errors import Refused
from app.quoting.order_cost import least_to_charge
from app.quoting.quote import NO_COMMITMENTS, Quote, quote_if_waiting
from app.quoting.request import NOT_QUOTED, OrderRequest
from app.store.models import Order
from app.web.requests import request_context
from app.web.wording.orders import surplus_question


def make_shown_quote(request: OrderRequest, order: Order | None) -> ShownQuote:
    """Returns the quote as the counter shows it. order: the order that is changed, if one is. Raises Refused.

    That of a new order is kept, so that who types a name or a note has nothing calculated again.
    """
    context = request_context().context
    if order:
        return _calculate(context, request, order)
    asked = replace(request, **NOT_QUOTED)
    return context.keep(("shown quote", asked), lambda at: _calculate(at, asked, None))


def _calculate(context: Context, request: OrderRequest, order: Order | None) -> ShownQuote:
    """Returns the quote as of the context's moment."""
    shop, now, formats = context.shop, context.now, request_context().formats
    answer = answer_request(context, request, order)
    quote, fit = answer.quote, answer.fit
    for_bench = find_bench_alternatives(quote, fit, answer.quote_for, answer.bench_search, shop)
    commitments = commitments_of(order) if order else NO_COMMITMENTS
    wait = quote_if_waiting(quote, shop, context.catalogue, now, commitments)
    money = show_money(quote, _floor(quote, order), formats)
    on_hand = show_stock_notes(quote, order, answer.quote_for)
    alternatives = [_unchecked(one) if fit.fit is not Fit.FITS else one for one in answer.alternatives]
    shown = show_quote(quote, wait, alternatives, fit, for_bench, money, on_hand, shop, formats, now)
    shown = say_what_stays_short(context, shown, (*alternatives, *for_bench.others), order)
    left_over = find_surplus(order, quote) if order else ()
    return replace(shown, surplus=tuple(surplus_question(one) for one in left_over))


def _unchecked(alternative: Alternative) -> Alternative:
    """Returns an alternative of an order that the bench cannot have ready; it may not be ready either if the bench
    was not asked."""
    return replace(alternative, fit=Fit.NOT_FOUND) if alternative.fit is None else alternative


def _floor(quote: Quote, order: Order | None) -> int | None:
    """Returns what the customer should pay at least, if a discount or a typed price takes the order below it; None
    for a price that was agreed before, because costs may have changed since."""
    if order is not None and order.total_minor == quote.total_minor:
        return None
    return least_to_charge(quote, request_context().catalogue, request_context().shop)


def offered(request: OrderRequest, order: Order | None, key: str) -> Alternative | Substitute | None:
    """Returns the alternative or substitute that was offered under that key, calculated again."""
    here = request_context()
    quote_for = quoting_function(here.context, order)
    try:
        quote = quote_for(request)
    except Refused:
        return None
    if key.startswith("substitute-"):
        return offered_substitute(quote, order, quote_for, key)
    search = search_bench(here.context, quote, order)
    shared = share_bench(quote, search.bench, here.shop.certainty)
    if key.startswith("alternative-"):
        found = find_alternatives(shared, quote_for, here.shop, here.catalogue, here.now)
    else:
        found = [*find_bench_alternatives(shared, search.fit(quote), quote_for, search, here.shop).others]
    return next((alternative for alternative in found if alternative_key(alternative) == key), None)
