"""The day that a page is about, from its address."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from werkzeug.exceptions import BadRequest

from app.planning.shoptime import day_bounds, local_day
from app.web.formats import Formats


@dataclass(frozen=True, slots=True)
class ShopDay:
    on: date
    start: datetime
    end: datetime
    is_today: bool

    @property
    def before(self) -> date:
        return self.on - timedelta(days=1)

    @property
    def after(self) -> date:
        return self.on + timedelta(days=1)


def read_date(text: str | None) -> date | None:
    """None when nothing is asked for. Raises BadRequest with a sentence."""
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise BadRequest(f"“{text[:20]}” is not a date: write year-month-day, as in 2026-11-28.") from None
    if not 2000 <= day.year <= 2100:
        raise BadRequest(f"{day.year} is out of range: a year from 2000 to 2100, please.")
    return day


def day_of(moment: datetime, formats: Formats, now: datetime) -> ShopDay:
    """The day on whose board work of that moment stands: what should have been begun before stands on today's."""
    today = local_day(now, formats.zone)
    return _day(max(local_day(moment, formats.zone), today), formats, today)


def read_day(text: str | None, formats: Formats, now: datetime) -> ShopDay:
    """The day asked for, or today in the shop's zone. Raises BadRequest with a sentence."""
    today = local_day(now, formats.zone)
    return _day(read_date(text) or today, formats, today)


def _day(day: date, formats: Formats, today: date) -> ShopDay:
    return ShopDay(day, *day_bounds(day, formats.zone), day == today)
