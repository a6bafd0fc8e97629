"""Later times at which an order could be handed over so that its balloons last."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from app.planning.shoptime import step_up
from app.quoting.journey import set_ups_of
from app.quoting.quote import Quote
from app.quoting.request import HandOver, LineRequest, OrderRequest
from app.quoting.shop import Shop

MAX_POSTPONED = timedelta(days=7)
"""How far ahead a later collection is searched for."""


def requests_at_later_times(request: OrderRequest, shop: Shop, now: datetime) -> Iterator[OrderRequest]:
    """Yields the whole order at every later time up to the event."""
    together = in_one_part(request)
    for at in _hours_after(request, shop, now):
        in_parts = request.later_at is not None and request.later_at > at
        yield replace(request if in_parts else together, ready_by=at, arrives_at=_arrival(request, at))


def in_one_part(request: OrderRequest) -> OrderRequest:
    """Returns the order without a later part."""
    return replace(request, later_at=None, lines=tuple(replace(line, later=False) for line in request.lines))


def requests_with_later_latex(
    request: OrderRequest, line_index: int, shop: Shop, now: datetime
) -> Iterator[OrderRequest]:
    """Yields the order with the line's latex in a later part, at every later time up to the event. They are refused
    if nothing is left for the main part."""
    line = request.lines[line_index]
    moved = with_line(request, line_index, replace(line, later=True))
    for at in _hours_after(request, shop, now):
        if not line.later or at > (request.later_at or at):
            yield replace(moved, later_at=at)


def requests_at_all_later_times(quote: Quote, shop: Shop, now: datetime) -> list[OrderRequest]:
    """Returns the whole order at every later time up to the event, whether or not that helps."""
    together = in_one_part(quote.request)
    hours = _hours_after(quote.request, shop, now)
    return [replace(together, ready_by=at, arrives_at=_arrival(quote.request, at)) for at in hours]


def _hours_after(request: OrderRequest, shop: Shop, earliest: datetime) -> Iterator[datetime]:
    """Yields every time on the shop's step, after the agreed one, at which the shop is open and the event has not
    started when all is there and set up. earliest: no time before it."""
    latest = request.event_start or request.lasts_until
    if request.ready_by is None or latest is None or request.hand_over is HandOver.VENUE:
        return
    travel = timedelta(minutes=request.travel_minutes + set_ups_of(request) * shop.trip.set_up_minutes)
    step = timedelta(minutes=shop.step_minutes)
    at = step_up(max(request.ready_by + timedelta(minutes=1), earliest), shop.step_minutes, shop.zone)
    while at + travel <= min(latest, request.ready_by + MAX_POSTPONED):
        if shop.opening.is_open(at - timedelta(minutes=1)):
            yield at
        at = step_up(at + step, shop.step_minutes, shop.zone)


def _arrival(request: OrderRequest, leaves_at: datetime) -> datetime | None:
    delivered = request.hand_over is HandOver.DELIVER
    return leaves_at + timedelta(minutes=request.travel_minutes) if delivered else None


def with_line(request: OrderRequest, line_index: int, line: LineRequest) -> OrderRequest:
    """Returns the order with another line in place of the one at that index."""
    return replace(request, lines=(*request.lines[:line_index], line, *request.lines[line_index + 1 :]))
