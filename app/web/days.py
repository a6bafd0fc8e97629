"""This module reads from its address which day a page is about."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from werkzeug.exceptions import BadRequest
from wtforms.validators import ValidationError

from app.planning.shoptime import day_bounds, local_day
from app.web.formats import Formats
from app.web.forms.dates import Near
from app.web.forms.dates import read_day as read_typed_day


@dataclass(frozen=True, slots=True)
class ShopDay:
    """A day in the shop's zone: its date, its first moment, that of the next day, and whether it is today.

    typed: the day as it stands in a field. previous_words and next_words: the days before and after it as the shop
    writes them.
    """

    local_date: date
    start: datetime
    end: datetime
    is_today: bool
    typed: str
    previous_words: str
    next_words: str

    @property
    def previous_date(self) -> date:
        return self.local_date - timedelta(days=1)

    @property
    def next_date(self) -> date:
        return self.local_date + timedelta(days=1)


def read_date(text: str | None) -> date | None:
    """Returns the date in an address; None when it has none. Raises BadRequest with a sentence when it is wrong."""
    if not text:
        return None
    try:
        return read_typed_day(text, near=Near.NEAREST)
    except ValidationError as wrong:
        raise BadRequest(str(wrong)) from None


def board_day(moment: datetime, formats: Formats, now: datetime) -> ShopDay:
    """Returns the day on whose board work of this moment stands; work that should have been started before
    stands on today's."""
    today = local_day(now, formats.zone)
    return _day(max(local_day(moment, formats.zone), today), formats, today)


def read_shop_day(text: str | None, formats: Formats, now: datetime) -> ShopDay:
    """Returns the day in an address, or today in the shop's zone. Raises BadRequest with a sentence when it is
    wrong."""
    today = local_day(now, formats.zone)
    return _day(read_date(text) or today, formats, today)


def _day(day: date, formats: Formats, today: date) -> ShopDay:
    start, end = day_bounds(day, formats.zone)
    return ShopDay(
        local_date=day,
        start=start,
        end=end,
        is_today=day == today,
        typed=formats.typed_date(day),
        previous_words=formats.day_of_week(day - timedelta(days=1)),
        next_words=formats.day_of_week(day + timedelta(days=1)),
    )
