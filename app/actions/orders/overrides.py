"""Why an order is taken all the same: although it is not safe, does not fit on the bench, or something is short."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.actions.bench.override import WANTING as NO_FIT
from app.actions.bench.override import reason_of_changed, reason_of_new, reason_to_reopen
from app.actions.errors import Problem, Refused
from app.actions.orders.stock_override import WANTING as IS_SHORT
from app.actions.orders.stock_override import short_reason_of_changed, short_reason_of_new, short_reason_to_reopen
from app.actions.records.shop import Goods, Shop
from app.planning.window import Verdict
from app.quoting.quote import Quote, Standing
from app.store.models import Order

NO_WORD = Problem("word", "Tell the caller, and write down their word: it is kept and printed on the ticket.")


@dataclass(frozen=True, slots=True)
class Reasons:
    """Empty where none is needed. bench: it does not fit there. short: goods or gas are."""

    bench: str = ""
    short: str = ""


NO_REASONS = Reasons()


def reasons_of_new(
    session: Session, answer: Quote, standing: Standing, shop: Shop, goods: Goods, now: datetime
) -> Reasons:
    """What is kept with an order that is taken. Raises Refused where a reason, or the caller's word, is wanting."""
    bench = reason_of_new(session, answer, standing, shop, now)
    return _said(bench, short_reason_of_new(session, answer, standing, shop, goods, now), answer)


def reasons_of_changed(
    session: Session, order: Order, answer: Quote, shop: Shop, goods: Goods, now: datetime
) -> Reasons:
    """The same for a change, before it is made."""
    bench = reason_of_changed(session, order, answer, shop, goods, now)
    return _said(bench, short_reason_of_changed(session, order, answer, shop, goods, now), answer)


def reasons_to_reopen(
    session: Session, order: Order, typed: Reasons, shop: Shop, goods: Goods, now: datetime
) -> Reasons:
    """The same for an order that was cancelled and is open by now."""
    bench = reason_to_reopen(session, order, typed.bench, shop, goods, now)
    return _said(bench, short_reason_to_reopen(session, order, typed.short, shop, goods, now))


def _said(bench: str | None, short: str | None, answer: Quote | None = None) -> Reasons:
    no_word = answer and answer.verdict is not Verdict.SAFE and not answer.wish.word.strip()
    if bench is None or short is None or no_word:
        wanting = ((NO_WORD, no_word), (NO_FIT, bench is None), (IS_SHORT, short is None))
        raise Refused(*(problem for problem, is_wanting in wanting if is_wanting))
    return Reasons(bench, short)
