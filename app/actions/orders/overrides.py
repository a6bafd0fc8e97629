"""Why an order is accepted anyway: although it is not safe, the bench cannot make it in time, or something is
short."""

from dataclasses import dataclass

from app.actions.bench.override import WANTING as NO_FIT
from app.actions.bench.override import override_of_changed, override_of_new, override_to_reopen
from app.actions.context import Context
from app.actions.orders.stock_override import WANTING as IS_SHORT
from app.actions.orders.stock_override import (
    stock_override_of_changed,
    stock_override_of_new,
    stock_override_to_reopen,
)
from app.planning.window import Verdict
from app.quoting.errors import Problem, Refused
from app.quoting.quote import Commitments, Quote
from app.store.models import Order

NO_ACCEPTED_RISK = Problem(
    "accepted_risk", "Tell the caller, and write down their word: it is kept and printed on the ticket."
)


@dataclass(frozen=True, slots=True)
class Overrides:
    """The reasons, each empty if none is needed. bench: the bench cannot make it in time. short: goods or gas are
    short."""

    bench: str = ""
    short: str = ""


NO_OVERRIDES = Overrides()


def overrides_of_new(context: Context, quote: Quote, commitments: Commitments) -> Overrides:
    """Returns the reasons to save with a new order. Raises Refused if one, or what the customer accepted, is
    missing."""
    bench = override_of_new(context, quote, commitments)
    return _said(bench, stock_override_of_new(context, quote, commitments), quote)


def overrides_of_changed(context: Context, order: Order, quote: Quote) -> Overrides:
    """Returns the reasons to save with a changed order, before the change is made. Raises Refused as for a new
    one."""
    bench = override_of_changed(context, order, quote)
    return _said(bench, stock_override_of_changed(context, order, quote), quote)


def overrides_to_reopen(context: Context, order: Order, typed: Overrides) -> Overrides:
    """Returns the reasons to save when a cancelled order is opened again; it is open by now. Raises Refused as for
    a new one."""
    bench = override_to_reopen(context, order, typed.bench)
    return _said(bench, stock_override_to_reopen(context, order, typed.short))


def _said(bench: str | None, short: str | None, quote: Quote | None = None) -> Overrides:
    """Returns the reasons. Raises Refused if one is missing, or what the customer accepted."""
    no_word = quote and quote.verdict is not Verdict.SAFE and not quote.request.accepted_risk.strip()
    if bench is None or short is None or no_word:
        wanting = ((NO_ACCEPTED_RISK, no_word), (NO_FIT, bench is None), (IS_SHORT, short is None))
        raise Refused(*(problem for problem, is_wanting in wanting if is_wanting))
    return Overrides(bench, short)
