"""Orders that the bench cannot have ready in time, and whom to call."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

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


@dataclass(frozen=True)
class Risks:
    """Late orders, which are put into words as they are gone through. callers: name and phone by the number of an
    order. day: their times are shown without its weekday."""

    delays: Sequence[SavedDelay]
    callers: Mapping[int, tuple[str, str]]
    day: date

    def __len__(self) -> int:
        return len(self.delays)

    def __iter__(self) -> Iterator[Risk]:
        return (_risk(delay, self.callers, self.day) for delay in self.delays)


def due_on(day: ShopDay, delays: Sequence[SavedDelay]) -> list[SavedDelay]:
    """Returns the late orders due on the day. For today it returns all of them, since customers should be called
    early."""
    return [delay for delay in delays if day.is_today or day.start <= delay.ready_by < day.end]


def risks_of(delays: Sequence[SavedDelay], day: date) -> Risks:
    """Returns the late orders. day: its times are shown without their weekday."""
    callers = callers_of_orders(request_context().session, [delay.number for delay in delays])
    return Risks(tuple(delay for delay in delays if delay.number in callers), callers, day)


def phones_of(numbers: Iterable[int]) -> list[str]:
    """Returns the phone of each order; empty where none is known."""
    wanted = [*numbers]
    callers = callers_of_orders(request_context().session, wanted) if wanted else {}
    return [callers.get(number, ("", ""))[1] for number in wanted]


def _risk(delay: SavedDelay, callers: Mapping[int, tuple[str, str]], day: date) -> Risk:
    """Returns one late order in words."""
    formats, number = request_context().formats, delay.number
    customer, phone = callers[number]
    sentence, reason = delay_sentence(delay, formats, day), delay_reason(delay, formats)
    return Risk(number=number, customer=customer, phone=phone, delay=delay, sentence=sentence, reason=reason)
