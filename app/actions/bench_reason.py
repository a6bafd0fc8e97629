"""Why an order is taken although the bench does not fit with it: asked for where it does not, and kept."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from app.actions.bench_fit import fit_beside, load_bench
from app.actions.errors import Problem
from app.actions.history import hold_board
from app.actions.quote import Quote, Standing
from app.actions.shop import Shop
from app.actions.wish import OrderWish
from app.actions.wishes import wish_of
from app.planning.handoff import Fit
from app.store.models import Order

NOT_THE_BENCH: dict[str, Any] = dict.fromkeys(("customer", "phone", "address", "notes", "word", "bench_reason"), "")
"""What a wish says that the bench is not asked."""


WANTING = Problem(
    "bench_reason",
    "The bench does not fit with it: say why it is taken all the same. It is kept and printed on the ticket.",
)


def reason_of_new(session: Session, answer: Quote, standing: Standing, shop: Shop, now: datetime) -> str | None:
    """What is kept with an order that is taken: nothing where the bench fits, or is asked nothing because all of it
    is filled already. None where a reason is wanting."""
    if all(plan.fill.of in standing.begun for plan in answer.batches) or _fits(session, answer, shop, now, None):
        return ""
    return answer.wish.bench_reason.strip() or None


def reason_of_changed(session: Session, order: Order, answer: Quote, shop: Shop, now: datetime) -> str | None:
    """The same for a change, before it is made; one that asks the bench for nothing else needs no other reason."""
    if _fits(session, answer, shop, now, order.number):
        return ""
    if _asked_of_bench(answer.wish) == _asked_of_bench(wish_of(order)):
        return answer.wish.bench_reason.strip() or order.bench_reason
    return answer.wish.bench_reason.strip() or None


def _fits(session: Session, answer: Quote, shop: Shop, now: datetime, but: int | None) -> bool:
    """Asked by one counter at a time: the second waits, and then sees the first one's order."""
    hold_board(session)
    return fit_beside(answer, load_bench(session, shop, now, answer, but)).fit is Fit.FITS


def _asked_of_bench(wish: OrderWish) -> OrderWish:
    lines = tuple(replace(line, colours="") for line in wish.lines)
    return replace(wish, lines=lines, customer_id=None, **NOT_THE_BENCH)
