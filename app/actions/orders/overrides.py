"""Why an order is accepted anyway: although it is not safe, the bench cannot make it in time, or something is
short."""

from dataclasses import dataclass, replace
from typing import Any

from app.actions.bench.bench_day import BenchDay
from app.actions.bench.fit import BenchFit, fit_with_others, load_bench
from app.actions.context import Context
from app.actions.gas.outlook import gas_is_short
from app.actions.records.history import lock_board
from app.actions.records.rebuild_request import commitments_of, rebuild_request
from app.actions.stock.shortages import StockCheck, find_shortages
from app.planning.finishing import Fit
from app.planning.window import Verdict
from app.quoting.errors import Problem, Refused
from app.quoting.quote import Commitments, Quote, make_quote
from app.quoting.request import FIELD_PLACES, OrderRequest
from app.store.models import Order

NO_ACCEPTED_RISK = Problem("accepted_risk", "Warn the caller and write what they accepted. The ticket shows it.")


NO_BENCH_OVERRIDE = Problem(
    "bench_override",
    "It can't be ready in time. Write why you accept it anyway. The ticket shows it.",
)
NO_STOCK_OVERRIDE = Problem(
    "stock_override",
    "Something is short. Write why you accept it anyway. The ticket shows it.",
)


@dataclass(frozen=True, slots=True)
class Overrides:
    """The reasons, each empty if none is needed. bench: the bench cannot make it in time. stock: goods or gas are
    short."""

    bench: str = ""
    stock: str = ""


NO_OVERRIDES = Overrides()


def overrides_of_new(context: Context, quote: Quote, commitments: Commitments, bench: BenchDay) -> Overrides:
    """Returns the reasons to save with a new order. bench: without it. Raises Refused if one, or what the customer
    accepted, is missing."""
    reason = _bench_override_of_new(quote, commitments, bench)
    return _require(reason, _stock_override_of_new(context, quote, commitments), quote)


def overrides_of_changed(context: Context, order: Order, quote: Quote, bench: BenchDay) -> Overrides:
    """Returns the reasons to save with a changed order, before the change is made. bench: without it. Raises
    Refused as for a new one."""
    reason = _bench_override_of_changed(context, order, quote, bench)
    return _require(reason, _stock_override_of_changed(context, order, quote), quote)


def overrides_to_reopen(context: Context, order: Order, typed: Overrides) -> Overrides:
    """Returns the reasons to save when a cancelled order is opened again; it is open by now. Raises Refused as for
    a new one."""
    bench = _bench_override_to_reopen(context, order, typed.bench)
    return _require(bench, _stock_override_to_reopen(context, order, typed.stock))


def _require(bench: str | None, short: str | None, quote: Quote | None = None) -> Overrides:
    """Returns the reasons given. Raises Refused if one is missing, or what the customer accepted."""
    no_acceptance = quote and quote.float_verdict is not Verdict.SAFE and not quote.request.accepted_risk.strip()
    if bench is None or short is None or no_acceptance:
        needed = (
            (NO_ACCEPTED_RISK, no_acceptance),
            (NO_BENCH_OVERRIDE, bench is None),
            (NO_STOCK_OVERRIDE, short is None),
        )
        raise Refused(*(problem for problem, is_missing in needed if is_missing))
    return Overrides(bench, short)


EMPTIED_FOR_BENCH: dict[str, Any] = {
    name: None for name, places in FIELD_PLACES.items() if not places.changes_bench
}
"""The fields of a request that make no difference to the bench, each emptied."""


def _bench_override_of_new(quote: Quote, commitments: Commitments, bench: BenchDay) -> str | None:
    """Returns the reason to save with a new order; None if one is required and missing.

    It is empty if the bench fits, or if all of it is filled already, so that the bench is not asked.
    """
    if all(plan.fill.spec in commitments.started for plan in quote.batches) or _fits(quote, bench):
        return ""
    return quote.request.bench_override.strip() or None


def _bench_override_of_changed(context: Context, order: Order, quote: Quote, bench: BenchDay) -> str | None:
    """Returns the reason to save with a changed order, before the change is made; None if one is required and
    missing.

    A change that makes the bench no worse needs no new reason.
    """
    if _fits(quote, bench):
        return ""
    found = fit_with_others(quote, bench)
    typed = quote.request.bench_override.strip()
    if typed or bench_relevant_request(quote.request) == bench_relevant_request(rebuild_request(order)):
        return typed or order.bench_override
    before = _quote_as_saved(context, order)
    got_late = before is not None and quote.crew_is_late and not before.crew_is_late
    if before is None or got_late or _badness(found) > _badness(fit_with_others(before, bench)):
        return None
    return order.bench_override


def _bench_override_to_reopen(context: Context, order: Order, typed: str) -> str | None:
    """Returns the reason to save when a cancelled order is opened again; None if one is required and missing.

    The order has its batches again by now. If it fits, or nothing is typed, its former reason stays.
    """
    quote = make_quote(rebuild_request(order), context.shop, context.catalogue, context.now, commitments_of(order))
    if _fits(quote, ask_bench(context, quote, order.number)):
        return order.bench_override
    return typed.strip() or order.bench_override or None


def _badness(found: BenchFit) -> tuple[bool, bool, int]:
    """Returns a sort key: what is proved not to fit is worse than what was not found, then more seconds are
    worse."""
    return (
        found.fit is Fit.CANNOT,
        found.fit is not Fit.FITS,
        found.shortage.all_seconds if found.shortage else 0,
    )


def _fits(quote: Quote, bench: BenchDay) -> bool:
    """Returns whether the bench is known to fit with the quote, and a crew comes early enough to fill it."""
    return not quote.crew_is_late and fit_with_others(quote, bench).fit is Fit.FITS


def ask_bench(context: Context, quote: Quote, excluding_order: int | None = None) -> BenchDay:
    """Returns the bench for a quote that is about to be saved. One counter asks at a time: the second waits, and
    then sees the first one's order."""
    lock_board(context.session)
    return load_bench(context, quote, excluding_order)


def bench_relevant_request(request: OrderRequest) -> OrderRequest:
    """Returns the request without what makes no difference to the bench, so that two requests can be compared."""
    lines = tuple(replace(line, colours="") for line in request.lines)
    return replace(request, lines=lines, **EMPTIED_FOR_BENCH)


def _stock_override_of_new(context: Context, quote: Quote, commitments: Commitments) -> str | None:
    """Returns the reason to save with a new order; None if one is required and missing.

    It is empty if all is there, or if all of the order is filled already.
    """
    if all(plan.fill.spec in commitments.started for plan in quote.batches):
        return ""
    if not _ask_stock(context, quote).shortages and not gas_is_short(context, quote):
        return ""
    return quote.request.stock_override.strip() or None


def _stock_override_of_changed(context: Context, order: Order, quote: Quote) -> str | None:
    """Returns the reason to save with a changed order, before the change is made; None if one is required and
    missing.

    A change that makes nothing shorter needs no new reason.
    """
    found = _ask_stock(context, quote, order.number)
    gas = gas_is_short(context, quote, order.number)
    if not found.shortages and not gas:
        return ""
    typed = quote.request.stock_override.strip()
    before = _quote_as_saved(context, order)
    if gas or before is None or found.is_shorter_than(_ask_stock(context, before, order.number)):
        return typed or None
    return typed or order.stock_override


def _stock_override_to_reopen(context: Context, order: Order, typed: str) -> str | None:
    """Returns the reason to save when a cancelled order is opened again; None if one is required and missing.

    The order is open by now. If nothing is typed, its former reason stays.
    """
    quote = _quote_as_saved(context, order)
    if quote is None:
        return order.stock_override
    gas = gas_is_short(context, quote, order.number, reopened=True)
    if not gas and not _ask_stock(context, quote, order.number).shortages:
        return order.stock_override
    return typed.strip() or order.stock_override or None


def _quote_as_saved(context: Context, order: Order) -> Quote | None:
    """Returns the quote of the order as it is saved; None if the shop's settings no longer allow the order."""
    try:
        return make_quote(
            rebuild_request(order), context.shop, context.catalogue, context.now, commitments_of(order)
        )
    except Refused:
        return None


def _ask_stock(
    context: Context,
    quote: Quote,
    excluding_order: int | None = None,
) -> StockCheck:
    """Returns what the stock says about the quote. One counter asks at a time: the second waits, and then sees the
    first one's order."""
    lock_board(context.session)
    return find_shortages(context, quote, excluding_order)
