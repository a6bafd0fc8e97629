"""This module says which orders stand behind a number of the review, so that a bar leads to its orders."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, and_, or_, select

from app.quoting.states import LateReason
from app.store.models import Lot, Order, OrderBatch, OrderLine, StockMove
from app.store.queries.review import COST, is_completed
from app.store.queries.review_bench import is_missed, was_filled, was_timed
from app.store.queries.review_sales import (
    came_back,
    has_extras,
    is_delivered,
    is_late,
    is_treated,
)
from app.store.queries.review_spans import weekday_and_hour
from app.store.queries.sales import not_quick_sale
from app.store.search_keys import fold_text


class CountedAs(StrEnum):
    """What is counted. TIMED: an order of which a batch was filled, with its time at the bench. HELIUM: one of
    which a batch was filled with helium."""

    SOLD = "sold"
    LATE = "late"
    TAKEN = "taken"
    FILLED = "filled"
    TIMED = "timed"
    HELIUM = "helium"


class Group(StrEnum):
    """Of what only a part is counted; with a value where it says so.

    DESIGN, TYPE: sold as the one with this id, with a known cost. BALLOON, COLOUR, LOT: filled of the balloon type
    of this name, in this colour, from the lot with this id. HOUR: on this weekday and hour, as “5-14”.
    """

    DESIGN = "design"
    TYPE = "type"
    BALLOON = "balloon"
    COLOUR = "colour"
    LOT = "lot"
    HOUR = "hour"
    TREATED = "treated"
    DELIVERED = "delivered"
    EXTRAS = "extras"
    AGAIN = "again"
    FIRST = "first"
    NAMELESS = "nameless"


WITH_NUMBER = (Group.DESIGN, Group.TYPE, Group.LOT)
WITH_TEXT = (Group.BALLOON, Group.COLOUR)
LARGEST_ID = 2**31 - 1


@dataclass(frozen=True, slots=True)
class CountedPart:
    """A part of what is counted. number: an id. weekday: Monday being 0."""

    group: Group
    text: str = ""
    number: int = 0
    weekday: int = 0
    hour: int = 0


@dataclass(frozen=True, slots=True)
class Counted:
    """What the review counts. part: None for all of it. reason: why an order was late or missed; None if nobody
    said it. any_reason: whether the reason does not matter. today: the first moment of the shop's day."""

    what: CountedAs
    part: CountedPart | None
    reason: LateReason | None
    any_reason: bool
    today: datetime
    now: datetime
    zone: ZoneInfo


def part_of(text: str) -> CountedPart | None:
    """Returns the part that stands in an address as “lot-12”; None if there is no such part."""
    name, _, value = text.partition("-")
    if name not in list(Group):
        return None
    group = Group(name)
    if group in WITH_TEXT:
        return CountedPart(group, text=value)
    if group is Group.HOUR:
        weekday, _, hour = value.partition("-")
        found = _number(weekday, 6), _number(hour, 23)
        return None if None in found else CountedPart(group, weekday=found[0] or 0, hour=found[1] or 0)
    number = _number(value, LARGEST_ID) if group in WITH_NUMBER else 0
    return None if number is None or (value and group not in WITH_NUMBER) else CountedPart(group, number=number)


def _number(text: str, most: int) -> int | None:
    is_number = text.isascii() and text.isdecimal() and len(text) <= len(str(most))
    return int(text) if is_number and int(text) <= most else None


def is_counted(counted: Counted, start: datetime, end: datetime) -> ColumnElement[bool]:
    """Returns the condition that the review counts an order between two moments."""
    found: dict[CountedAs, Callable[[], ColumnElement[bool]]] = {
        CountedAs.SOLD: lambda: is_completed(start, end),
        CountedAs.LATE: lambda: _is_late_or_missed(counted, start, end),
        CountedAs.TAKEN: lambda: and_(Order.taken_at >= start, Order.taken_at < end, not_quick_sale()),
        CountedAs.FILLED: lambda: _has_batch(was_filled(start, end), _batch_part(counted.part)),
        CountedAs.TIMED: lambda: _has_batch(was_timed(start, end), _hour_part(counted, start, end)),
        CountedAs.HELIUM: lambda: _has_batch(was_filled(start, end), OrderBatch.gas == "helium"),
    }
    return and_(found[counted.what](), _order_part(counted, start, end))


def _is_late_or_missed(counted: Counted, start: datetime, end: datetime) -> ColumnElement[bool]:
    late = and_(is_completed(start, end), is_late())
    found = or_(late, is_missed(start, end, counted.today, counted.now))
    return found if counted.any_reason else and_(found, Order.late_reason.is_not_distinct_from(counted.reason))


def _has_batch(*conditions: ColumnElement[bool]) -> ColumnElement[bool]:
    # By ids, so that the batches of the time are found by their own index.
    return Order.id.in_(select(OrderBatch.order_id).where(*conditions))


def _batch_part(part: CountedPart | None) -> ColumnElement[bool]:
    """Returns the condition that a batch was filled of a balloon type, in a colour or from a lot."""
    if part is None or part.group not in (Group.BALLOON, Group.COLOUR, Group.LOT):
        return OrderBatch.id.is_not(None)
    if part.group is Group.BALLOON:
        return OrderBatch.balloon_type_name == part.text
    lot = Lot.id == part.number if part.group is Group.LOT else Lot.colour_folded == fold_text(part.text)
    taken = select(StockMove.id).join(Lot, Lot.id == StockMove.lot_id)
    return taken.where(StockMove.batch_id == OrderBatch.id, lot).correlate(OrderBatch).exists()


def _hour_part(counted: Counted, start: datetime, end: datetime) -> ColumnElement[bool]:
    """Returns the condition that a batch was started on a weekday and hour."""
    part = counted.part
    if part is None or part.group is not Group.HOUR:
        return OrderBatch.id.is_not(None)
    weekday, hour = weekday_and_hour(OrderBatch.started_at, counted.zone, start, end)
    return and_(weekday == part.weekday, hour == part.hour)


def _order_part(counted: Counted, start: datetime, end: datetime) -> ColumnElement[bool]:
    """Returns the condition that an order belongs to a part that is one of orders."""
    part, every = counted.part, Order.id.is_not(None)
    if part is None:
        return every
    if part.group is Group.HOUR and counted.what is CountedAs.TAKEN:
        weekday, hour = weekday_and_hour(Order.taken_at, counted.zone, start, end)
        return and_(weekday == part.weekday, hour == part.hour)
    conditions = {
        Group.DESIGN: and_(COST.is_not(None), _has_line(OrderLine.design_id == part.number)),
        Group.TYPE: and_(
            COST.is_not(None), _has_line(OrderLine.design_id.is_(None), OrderLine.balloon_type_id == part.number)
        ),
        Group.TREATED: is_treated(),
        Group.DELIVERED: is_delivered(),
        Group.EXTRAS: has_extras(),
        Group.AGAIN: and_(Order.customer_id.is_not(None), came_back()),
        Group.FIRST: and_(Order.customer_id.is_not(None), not_quick_sale(), ~came_back()),
        Group.NAMELESS: and_(Order.customer_id.is_(None), not_quick_sale()),
    }
    return conditions.get(part.group, every)


def _has_line(*conditions: ColumnElement[bool]) -> ColumnElement[bool]:
    lines = select(OrderLine.id).where(OrderLine.order_id == Order.id, *conditions)
    return lines.correlate(Order).exists()
