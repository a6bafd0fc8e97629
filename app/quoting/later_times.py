"""Later times at which an order could be handed over so that its balloons last."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from app.planning.moments import EPOCH
from app.planning.shoptime import step_up
from app.planning.window import Leg, not_before
from app.quoting.quote import Quote
from app.quoting.request import HandOver, LineRequest, OrderRequest
from app.quoting.shop import Shop

MAX_POSTPONED = timedelta(days=7)
"""How far ahead a later collection is searched for."""


def requests_at_later_times(quote: Quote, line_index: int, shop: Shop, now: datetime) -> Iterator[OrderRequest]:
    """Yields the whole order at each later time up to the event at which the line may be ready and safe."""
    for at in _later_hours(quote, line_index, shop, now):
        later_at = quote.request.later_at
        request = quote.request if later_at and later_at > at else in_one_part(quote.request)
        yield replace(request, ready_by=at, arrives_at=_arrival(request, at))


def in_one_part(request: OrderRequest) -> OrderRequest:
    """Returns the order with all of its lines in the main part."""
    return replace(request, later_at=None, lines=tuple(replace(line, later=False) for line in request.lines))


def requests_with_later_latex(quote: Quote, line_index: int, shop: Shop, now: datetime) -> Iterator[OrderRequest]:
    """Yields the order with the line's latex in a later part, at every later time up to the event, if something is
    left for the main part."""
    request, line = quote.request, quote.request.lines[line_index]
    moved = with_line(request, line_index, replace(line, later=True))
    for at in _later_hours(quote, line_index, shop, now):
        if not line.later or at > (request.later_at or at):
            yield replace(moved, later_at=at)


def requests_at_all_later_times(quote: Quote, shop: Shop, now: datetime) -> list[OrderRequest]:
    """Returns the whole order at every later time up to the event, whether or not that helps."""
    hours = _hours_after(quote, shop, now)
    return [
        replace(in_one_part(quote.request), ready_by=at, arrives_at=_arrival(quote.request, at)) for at in hours
    ]


def _later_hours(quote: Quote, line_index: int, shop: Shop, now: datetime) -> Iterator[datetime]:
    """Returns every later time, without those at which the line cannot be ready and safe."""
    step = timedelta(minutes=shop.step_minutes)
    return _hours_after(quote, shop, max(now, _never_ready_before(quote, line_index, shop) - step))


def _hours_after(quote: Quote, shop: Shop, earliest: datetime) -> Iterator[datetime]:
    """Yields every time on the shop's step, after the agreed one, at which the shop is open and the event has not
    started."""
    request = quote.request
    latest = request.event_start or request.lasts_until
    if request.ready_by is None or latest is None or request.hand_over is HandOver.VENUE:
        return
    travel = timedelta(minutes=request.travel_minutes)
    step = timedelta(minutes=shop.step_minutes)
    at = step_up(max(request.ready_by + timedelta(minutes=1), earliest), shop.step_minutes, shop.zone)
    while at + travel <= min(latest, request.ready_by + MAX_POSTPONED):
        if shop.opening.is_open(at - timedelta(minutes=1)):
            yield at
        at = step_up(at + step, shop.step_minutes, shop.zone)


def _never_ready_before(quote: Quote, line_index: int, shop: Shop) -> datetime:
    """Returns a lower bound for the time at which the line can be ready and safe: as if it spent all its hours in
    the place with the lowest loss rate. It saves hundreds of full quotes."""
    earliest = EPOCH
    for batch in quote.batches_of(quote.lines[line_index]):
        kindest = Leg(
            batch.float_plan.legs[-1].ends,
            min(leg.loss_rate for leg in batch.float_plan.legs),
            min(leg.light_rate for leg in batch.float_plan.legs),
        )
        begins = not_before([kindest], batch.fill.endurance, shop.certainty.safe)
        if begins:
            earliest = max(earliest, begins + batch.fill.work + batch.fill.drying_time + quote.finishing)
    return earliest


def _arrival(request: OrderRequest, leaves_at: datetime) -> datetime | None:
    delivered = request.hand_over is HandOver.DELIVER
    return leaves_at + timedelta(minutes=request.travel_minutes) if delivered else None


def with_line(request: OrderRequest, line_index: int, line: LineRequest) -> OrderRequest:
    """Returns the order with this line in place of the one at that index."""
    return replace(request, lines=(*request.lines[:line_index], line, *request.lines[line_index + 1 :]))
