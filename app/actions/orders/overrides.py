"""Why an order is taken all the same: although it is not safe, does not fit on the bench, or something is short."""

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
    """Empty where none is needed. bench: it does not fit there. short: goods or gas are."""

    bench: str = ""
    short: str = ""


NO_OVERRIDES = Overrides()


def overrides_of_new(context: Context, quote: Quote, commitments: Commitments) -> Overrides:
    """What is kept with an order that is taken. Raises Refused where a reason, or the caller's word, is wanting."""
    bench = override_of_new(context, quote, commitments)
    return _said(bench, stock_override_of_new(context, quote, commitments), quote)


def overrides_of_changed(context: Context, order: Order, quote: Quote) -> Overrides:
    """The same for a change, before it is made."""
    bench = override_of_changed(context, order, quote)
    return _said(bench, stock_override_of_changed(context, order, quote), quote)


def overrides_to_reopen(context: Context, order: Order, typed: Overrides) -> Overrides:
    """The same for an order that was cancelled and is open by now."""
    bench = override_to_reopen(context, order, typed.bench)
    return _said(bench, stock_override_to_reopen(context, order, typed.short))


def _said(bench: str | None, short: str | None, quote: Quote | None = None) -> Overrides:
    no_word = quote and quote.verdict is not Verdict.SAFE and not quote.request.accepted_risk.strip()
    if bench is None or short is None or no_word:
        wanting = ((NO_ACCEPTED_RISK, no_word), (NO_FIT, bench is None), (IS_SHORT, short is None))
        raise Refused(*(problem for problem, is_wanting in wanting if is_wanting))
    return Overrides(bench, short)
