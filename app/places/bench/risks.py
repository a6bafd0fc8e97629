"""Orders that the bench cannot have ready in time, and whom to call."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from app.actions.records.open_work import order_number_of
from app.store.queries.plan import SavedDelay, callers_of_orders
from app.web.days import ShopDay
from app.web.requests import request_context
from app.web.wording.plan import delay_reason, delay_sentence


@dataclass(frozen=True, slots=True)
class Risk:
    """An order that will be late, whom to call, and why."""

    number: int
    customer: str
    phone: str
    delay: SavedDelay
    sentence: str
    reason: str


def due_on(day: ShopDay, delays: Sequence[SavedDelay]) -> list[SavedDelay]:
    """Returns the late orders due on the day. For today it returns all of them, since customers should be called
    early."""
    return [delay for delay in delays if day.is_today or day.start <= delay.ready_by < day.end]


def risks_of(delays: Sequence[SavedDelay], day: date) -> list[Risk]:
    """Returns the late orders in words. day: its times are shown without their weekday."""
    callers = callers_of_orders(request_context().session, [int(order_number_of(delay.order)) for delay in delays])
    return [_risk(delay, callers, day) for delay in delays if int(order_number_of(delay.order)) in callers]


def _risk(delay: SavedDelay, callers: Mapping[int, tuple[str, str]], day: date) -> Risk:
    """Returns one late order in words."""
    formats, number = request_context().formats, int(order_number_of(delay.order))
    customer, phone = callers[number]
    sentence, reason = delay_sentence(delay, formats, day), delay_reason(delay, formats)
    return Risk(number=number, customer=customer, phone=phone, delay=delay, sentence=sentence, reason=reason)
