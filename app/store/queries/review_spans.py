"""This module says in SQL into which of several spans of time a moment falls, and on which hour of which
weekday."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import BigInteger, ColumnElement, Integer, case, cast, literal

from app.store.types import EPOCH

HOUR, DAY = 3600, 86400
THURSDAY = 3
"""The weekday of the first day of 1970, Monday being 0."""


def span_of(column: ColumnElement[datetime] | Any, bounds: Sequence[datetime]) -> ColumnElement[int]:
    """Returns the number, from 0, of the span in which a moment lies. bounds: the start of each and the end of the
    last; the moment lies between the first and the last bound."""
    return case(*((column < end, literal(place)) for place, end in enumerate(bounds[1:])), else_=-1)


def weekday_and_hour(
    column: Any, zone: ZoneInfo, start: datetime, end: datetime
) -> tuple[ColumnElement[int], ColumnElement[int]]:
    """Returns the weekday, Monday being 0, and the hour of a moment between two others, as the clock of the shop
    shows them."""
    steps = _offsets(zone, start, end)
    moved = case(*((column < until, literal(offset)) for until, offset in steps), else_=steps[-1][1])
    local = cast(column, BigInteger) + moved
    return cast((local // DAY + THURSDAY) % 7, Integer), cast(local % DAY // HOUR, Integer)


def seconds_of(column: Any) -> ColumnElement[int]:
    """Returns a moment as its seconds since 1970."""
    return cast(column, BigInteger)


def _offsets(zone: ZoneInfo, start: datetime, end: datetime) -> list[tuple[datetime, int]]:
    """Returns until when each difference to UTC holds, and the difference in seconds; the last one until the
    end."""
    found, at = [], start
    while at < end:
        following = min(at + timedelta(days=1), end)
        if _offset(zone, at) != _offset(zone, following):
            found.append((_turn(zone, at, following), _offset(zone, at)))
        at = following
    return [*found, (end, _offset(zone, end))]


def _turn(zone: ZoneInfo, before: datetime, after: datetime) -> datetime:
    """Returns the first second of the second difference, which lies between two moments."""
    low, high = ((at - EPOCH) // timedelta(seconds=1) for at in (before, after))
    while high - low > 1:
        middle = (low + high) // 2
        at = EPOCH + timedelta(seconds=middle)
        low, high = (middle, high) if _offset(zone, at) == _offset(zone, before) else (low, middle)
    return EPOCH + timedelta(seconds=high)


def _offset(zone: ZoneInfo, at: datetime) -> int:
    offset = at.astimezone(UTC).astimezone(zone).utcoffset() or timedelta()
    return offset // timedelta(seconds=1)
