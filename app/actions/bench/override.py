"""The reason for which an order is accepted although the bench cannot make it in time: required then, and saved."""

from dataclasses import replace
from typing import Any

from app.actions.bench.fit import BenchFit, fit_beside, load_bench
from app.actions.context import Context
from app.actions.records.history import lock_board
from app.actions.records.rebuild_request import commitments_of, rebuild_request
from app.planning.finishing import Fit
from app.quoting.errors import Problem, Refused
from app.quoting.quote import Commitments, Quote, make_quote
from app.quoting.request import FIELD_PLACES, OrderRequest
from app.store.models import Order

NOT_THE_BENCH: dict[str, Any] = {name: None for name, places in FIELD_PLACES.items() if not places.changes_bench}
"""The fields of a request that make no difference to the bench, each emptied."""


WANTING = Problem(
    "bench_override",
    "The bench does not fit with it: say why it is taken all the same. It is kept and printed on the ticket.",
)


def override_of_new(context: Context, quote: Quote, commitments: Commitments) -> str | None:
    """Returns the reason to save with a new order; None if one is required and missing.

    It is empty if the bench fits, or if all of it is filled already, so that the bench is not asked.
    """
    if all(plan.fill.spec in commitments.started for plan in quote.batches) or _fits(context, quote, None):
        return ""
    return quote.request.bench_override.strip() or None


def override_of_changed(context: Context, order: Order, quote: Quote) -> str | None:
    """Returns the reason to save with a changed order, before the change is made; None if one is required and
    missing.

    A change that makes the bench no worse needs no new reason.
    """
    found = _ask_bench(context, quote, order.number)
    if found.fit is Fit.FITS:
        return ""
    said = quote.request.bench_override.strip()
    if said or asked_of_bench(quote.request) == asked_of_bench(rebuild_request(order)):
        return said or order.bench_override
    before = _as_it_stands(context, order)
    return order.bench_override if before and _badness(found) <= _badness(before) else None


def override_to_reopen(context: Context, order: Order, typed: str) -> str | None:
    """Returns the reason to save when a cancelled order is opened again; None if one is required and missing.

    The order has its batches again by now. If it fits, or nothing is typed, its former reason stays.
    """
    quote = make_quote(rebuild_request(order), context.shop, context.catalogue, context.now, commitments_of(order))
    if _fits(context, quote, order.number):
        return order.bench_override
    return typed.strip() or order.bench_override or None


def _as_it_stands(context: Context, order: Order) -> BenchFit | None:
    """Returns whether the order fits as it is saved; None if the shop's settings no longer allow the order."""
    try:
        quote = make_quote(
            rebuild_request(order), context.shop, context.catalogue, context.now, commitments_of(order)
        )
    except Refused:
        return None
    return _ask_bench(context, quote, order.number)


def _badness(found: BenchFit) -> tuple[bool, bool, int]:
    """Returns a sort key: what is proved not to fit is worse than what was not found, then more seconds are
    worse."""
    return (
        found.fit is Fit.CANNOT,
        found.fit is not Fit.FITS,
        found.shortage.all_seconds if found.shortage else 0,
    )


def _fits(context: Context, quote: Quote, excluding_order: int | None) -> bool:
    """Returns whether the bench is known to fit with the quote."""
    return _ask_bench(context, quote, excluding_order).fit is Fit.FITS


def _ask_bench(context: Context, quote: Quote, excluding_order: int | None) -> BenchFit:
    """Returns whether the quote fits. One counter asks at a time: the second waits, and then sees the first one's
    order."""
    lock_board(context.session)
    return fit_beside(quote, load_bench(context, quote, excluding_order))


def asked_of_bench(request: OrderRequest) -> OrderRequest:
    """Returns the request without what makes no difference to the bench, so that two requests can be compared."""
    lines = tuple(replace(line, colours="") for line in request.lines)
    return replace(request, lines=lines, **NOT_THE_BENCH)
