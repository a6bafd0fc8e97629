"""Why an order is taken although the bench does not fit with it: asked for where it does not, and kept."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from app.actions.bench.fit import BenchFit, fit_beside, load_bench
from app.actions.errors import Problem, Refused
from app.actions.records.history import hold_board
from app.actions.records.rebuild_request import standing_of, wish_of
from app.actions.records.shop import Goods, Shop
from app.planning.finishing import Fit
from app.quoting.quote import Quote, Standing, quote
from app.quoting.request import OrderWish
from app.store.models import Order

NOT_THE_BENCH: dict[str, Any] = dict.fromkeys(
    ("customer", "phone", "address", "notes", "word", "bench_reason", "short_reason"), ""
)
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


def reason_of_changed(
    session: Session, order: Order, answer: Quote, shop: Shop, goods: Goods, now: datetime
) -> str | None:
    """The same for a change, before it is made; one that makes the bench no worse needs no other reason."""
    found = _ask_bench(session, answer, shop, now, order.number)
    if found.fit is Fit.FITS:
        return ""
    said = answer.wish.bench_reason.strip()
    if said or _asked_of_bench(answer.wish) == _asked_of_bench(wish_of(order)):
        return said or order.bench_reason
    before = _as_it_stands(session, order, shop, goods, now)
    return order.bench_reason if before and _badness(found) <= _badness(before) else None


def reason_to_reopen(
    session: Session, order: Order, typed: str, shop: Shop, goods: Goods, now: datetime
) -> str | None:
    """The same for an order that was cancelled and is open by now; where the bench fits with it, or nothing is
    typed, it keeps the reason that it has."""
    answer = quote(wish_of(order), shop, goods, now, standing_of(order))
    if _fits(session, answer, shop, now, order.number):
        return order.bench_reason
    return typed.strip() or order.bench_reason or None


def _as_it_stands(session: Session, order: Order, shop: Shop, goods: Goods, now: datetime) -> BenchFit | None:
    """None where the shop's settings allow the order no longer."""
    try:
        answer = quote(wish_of(order), shop, goods, now, standing_of(order))
    except Refused:
        return None
    return _ask_bench(session, answer, shop, now, order.number)


def _badness(found: BenchFit) -> tuple[bool, bool, int]:
    """Proved beats not found, and more work too many beats less."""
    return (
        found.fit is Fit.CANNOT,
        found.fit is not Fit.FITS,
        found.shortage.all_seconds if found.shortage else 0,
    )


def _fits(session: Session, answer: Quote, shop: Shop, now: datetime, but: int | None) -> bool:
    return _ask_bench(session, answer, shop, now, but).fit is Fit.FITS


def _ask_bench(session: Session, answer: Quote, shop: Shop, now: datetime, but: int | None) -> BenchFit:
    """Asked by one counter at a time: the second waits, and then sees the first one's order."""
    hold_board(session)
    return fit_beside(answer, load_bench(session, shop, now, answer, but))


def _asked_of_bench(wish: OrderWish) -> OrderWish:
    lines = tuple(replace(line, colours="") for line in wish.lines)
    return replace(wish, lines=lines, customer_id=None, **NOT_THE_BENCH)
