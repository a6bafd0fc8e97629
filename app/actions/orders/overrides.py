"""Why an order is taken all the same: although it is not safe, does not fit on the bench, or something is short."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.actions.bench.override import WANTING as NO_FIT
from app.actions.bench.override import override_of_changed, override_of_new, override_to_reopen
from app.actions.orders.stock_override import WANTING as IS_SHORT
from app.actions.orders.stock_override import (
    stock_override_of_changed,
    stock_override_of_new,
    stock_override_to_reopen,
)
from app.planning.window import Verdict
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.quoting.quote import Commitments, Quote
from app.quoting.shop import Shop
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


def overrides_of_new(
    session: Session, quote: Quote, commitments: Commitments, shop: Shop, catalogue: Catalogue, now: datetime
) -> Overrides:
    """What is kept with an order that is taken. Raises Refused where a reason, or the caller's word, is wanting."""
    bench = override_of_new(session, quote, commitments, shop, now)
    return _said(bench, stock_override_of_new(session, quote, commitments, shop, catalogue, now), quote)


def overrides_of_changed(
    session: Session, order: Order, quote: Quote, shop: Shop, catalogue: Catalogue, now: datetime
) -> Overrides:
    """The same for a change, before it is made."""
    bench = override_of_changed(session, order, quote, shop, catalogue, now)
    return _said(bench, stock_override_of_changed(session, order, quote, shop, catalogue, now), quote)


def overrides_to_reopen(
    session: Session, order: Order, typed: Overrides, shop: Shop, catalogue: Catalogue, now: datetime
) -> Overrides:
    """The same for an order that was cancelled and is open by now."""
    bench = override_to_reopen(session, order, typed.bench, shop, catalogue, now)
    return _said(bench, stock_override_to_reopen(session, order, typed.short, shop, catalogue, now))


def _said(bench: str | None, short: str | None, quote: Quote | None = None) -> Overrides:
    no_word = quote and quote.verdict is not Verdict.SAFE and not quote.request.accepted_risk.strip()
    if bench is None or short is None or no_word:
        wanting = ((NO_ACCEPTED_RISK, no_word), (NO_FIT, bench is None), (IS_SHORT, short is None))
        raise Refused(*(problem for problem, is_wanting in wanting if is_wanting))
    return Overrides(bench, short)
