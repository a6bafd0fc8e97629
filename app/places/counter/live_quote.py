"""Counter: calculates the quote for a request, and finds again the alternative whose button was pressed."""

from app.actions.bench.alternatives import BenchSearch, check_alternatives, find_bench_alternatives
from app.actions.bench.fit import load_bench
from app.actions.records.rebuild_request import commitments_of, rebuild_request
from app.actions.stock.substitutes import Substitute
from app.places.counter.quote_view import ShownQuote, show_quote
from app.places.counter.quoted_money import show_money
from app.places.counter.shown_alternatives import alternative_key
from app.places.counter.stock_notes import offered_substitute, show_stock_notes
from app.quoting.alternatives import Alternative, find_alternatives
from app.quoting.checks import check_hours
from app.quoting.errors import Refused
from app.quoting.order_cost import floor_total
from app.quoting.quote import NO_COMMITMENTS, Quote, make_quote, quote_if_waiting
from app.quoting.request import OrderRequest
from app.quoting.way_search import QuoteFunction
from app.store.models import Order
from app.web.requests import request_context


def make_shown_quote(request: OrderRequest, order: Order | None) -> ShownQuote:
    """Returns the quote as the counter shows it. order: the order that is changed, if one is. Raises Refused."""
    here, quote_for = request_context(), _quoting_function(order)
    quote = quote_for(request)
    bench_search = _bench_search(quote, order)
    fit = bench_search.fit(quote)
    bench_alternatives = find_bench_alternatives(quote, fit, quote_for, bench_search, here.shop)
    found = check_alternatives(
        find_alternatives(quote, quote_for, here.shop, here.catalogue, here.now), bench_search
    )
    wait = quote_if_waiting(
        quote, here.shop, here.catalogue, here.now, commitments_of(order) if order else NO_COMMITMENTS
    )
    money = show_money(quote, _floor(quote, order), here.formats)
    on_hand = show_stock_notes(quote, order, quote_for)
    return show_quote(
        quote, wait, found, fit, bench_alternatives, money, on_hand, here.shop, here.formats, here.now
    )


def _floor(quote: Quote, order: Order | None) -> int | None:
    """Returns what the customer should pay at least; None for a price that was agreed before, because costs may
    have changed since."""
    if order is not None and order.total_minor == quote.total_minor:
        return None
    return floor_total(quote, request_context().catalogue, request_context().shop)


def offered(request: OrderRequest, order: Order | None, key: str) -> Alternative | Substitute | None:
    """Returns the alternative or substitute that was offered under that key, calculated again."""
    here, quote_for = request_context(), _quoting_function(order)
    try:
        quote = quote_for(request)
    except Refused:
        return None
    if key.startswith("substitute-"):
        return offered_substitute(quote, order, quote_for, key)
    if key.startswith("alternative-"):
        found = find_alternatives(quote, quote_for, here.shop, here.catalogue, here.now)
    else:
        bench_search = _bench_search(quote, order)
        found = [
            *find_bench_alternatives(quote, bench_search.fit(quote), quote_for, bench_search, here.shop).others
        ]
    return next((alternative for alternative in found if alternative_key(alternative) == key), None)


def _bench_search(quote: Quote, order: Order | None) -> BenchSearch:
    """Returns the bench with its orders, to search for alternatives."""
    here = request_context()
    return BenchSearch(load_bench(here.context, quote, order.number if order else None))


def _quoting_function(order: Order | None) -> QuoteFunction:
    """Returns a function that quotes a request; lines already sold and batches already started stay."""
    here = request_context()
    commitments = commitments_of(order) if order else NO_COMMITMENTS

    def quote_for(request: OrderRequest) -> Quote:
        check_hours(request, here.now, rebuild_request(order) if order else None)
        return make_quote(request, here.shop, here.catalogue, here.now, commitments)

    return quote_for
