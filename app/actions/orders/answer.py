"""The answer to a request: its quote on the shared bench, whether it can be made, and what to do instead."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.actions.bench.alternatives import BenchSearch, check_alternatives
from app.actions.bench.fit import BenchFit, load_bench, share_bench
from app.actions.context import Context
from app.actions.records.rebuild_request import commitments_of, rebuild_request
from app.quoting.alternatives import Alternative, find_alternatives
from app.quoting.checks import check_hours
from app.quoting.quote import NO_COMMITMENTS, Quote, make_quote
from app.quoting.request import OrderRequest
from app.quoting.way_search import QuoteFunction, remembering
from app.store.models import Order


@dataclass(frozen=True, slots=True)
class RequestAnswer:
    """quote: with the latest starts that the shared bench allows. quote_for: how other requests are quoted. fit:
    whether the bench can make it. bench_search: the bench, to search further. alternatives: for the lines that are
    not safe."""

    quote: Quote
    quote_for: QuoteFunction
    fit: BenchFit
    bench_search: BenchSearch
    alternatives: Sequence[Alternative]


def answer_request(context: Context, request: OrderRequest, order: Order | None = None) -> RequestAnswer:
    """Returns the answer. order: the order that is changed, if one is. Raises Refused."""
    quote_for, certainty = quoting_function(context, order), context.shop.certainty
    quote = quote_for(request)
    search = search_bench(context, quote, order)
    fit, shared = search.fit(quote), share_bench(quote, search.bench, certainty)
    found = find_alternatives(shared, quote_for, context.shop, context.catalogue, context.now)
    return RequestAnswer(shared, quote_for, fit, search, check_alternatives(found, search, certainty))


def search_bench(context: Context, quote: Quote, order: Order | None) -> BenchSearch:
    """Returns the bench with all other orders, to search for alternatives."""
    return BenchSearch(load_bench(context, quote, order.number if order else None))


def quoting_function(context: Context, order: Order | None) -> QuoteFunction:
    """Returns a function that quotes a request, each one once; lines already sold and batches already started
    stay."""
    commitments = commitments_of(order) if order else NO_COMMITMENTS

    def quote_for(request: OrderRequest) -> Quote:
        check_hours(request, context.now, rebuild_request(order) if order else None)
        return make_quote(request, context.shop, context.catalogue, context.now, commitments)

    return remembering(quote_for)
