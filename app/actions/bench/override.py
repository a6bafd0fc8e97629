"""Why an order is taken although the bench does not fit with it: asked for where it does not, and kept."""

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
"""What a request says that the bench is not asked, taken out so that two requests can be compared."""


WANTING = Problem(
    "bench_override",
    "The bench does not fit with it: say why it is taken all the same. It is kept and printed on the ticket.",
)


def override_of_new(context: Context, quote: Quote, commitments: Commitments) -> str | None:
    """What is kept with an order that is taken: nothing where the bench fits, or is asked nothing because all of it
    is filled already. None where a reason is wanting."""
    if all(plan.fill.spec in commitments.started for plan in quote.batches) or _fits(context, quote, None):
        return ""
    return quote.request.bench_override.strip() or None


def override_of_changed(context: Context, order: Order, quote: Quote) -> str | None:
    """The same for a change, before it is made; one that makes the bench no worse needs no other reason."""
    found = _ask_bench(context, quote, order.number)
    if found.fit is Fit.FITS:
        return ""
    said = quote.request.bench_override.strip()
    if said or asked_of_bench(quote.request) == asked_of_bench(rebuild_request(order)):
        return said or order.bench_override
    before = _as_it_stands(context, order)
    return order.bench_override if before and _badness(found) <= _badness(before) else None


def override_to_reopen(context: Context, order: Order, typed: str) -> str | None:
    """The same for an order that was cancelled and is open by now; where the bench fits with it, or nothing is
    typed, it keeps the reason that it has."""
    quote = make_quote(rebuild_request(order), context.shop, context.catalogue, context.now, commitments_of(order))
    if _fits(context, quote, order.number):
        return order.bench_override
    return typed.strip() or order.bench_override or None


def _as_it_stands(context: Context, order: Order) -> BenchFit | None:
    """None where the shop's settings allow the order no longer."""
    try:
        quote = make_quote(
            rebuild_request(order), context.shop, context.catalogue, context.now, commitments_of(order)
        )
    except Refused:
        return None
    return _ask_bench(context, quote, order.number)


def _badness(found: BenchFit) -> tuple[bool, bool, int]:
    """Proved beats not found, and more work too many beats less."""
    return (
        found.fit is Fit.CANNOT,
        found.fit is not Fit.FITS,
        found.shortage.all_seconds if found.shortage else 0,
    )


def _fits(context: Context, quote: Quote, excluding_order: int | None) -> bool:
    return _ask_bench(context, quote, excluding_order).fit is Fit.FITS


def _ask_bench(context: Context, quote: Quote, excluding_order: int | None) -> BenchFit:
    """Asked by one counter at a time: the second waits, and then sees the first one's order."""
    lock_board(context.session)
    return fit_beside(quote, load_bench(context, quote, excluding_order))


def asked_of_bench(request: OrderRequest) -> OrderRequest:
    """The request with only what can change the bench's answer; for comparing two of them."""
    lines = tuple(replace(line, colours="") for line in request.lines)
    return replace(request, lines=lines, **NOT_THE_BENCH)
