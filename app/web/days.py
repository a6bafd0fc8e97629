"""This module reads from its address which day a page is about."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from werkzeug.exceptions import BadRequest
from wtforms.validators import ValidationError

from app.planning.shoptime import day_bounds, local_day
from app.web.forms.dates import Near
from app.web.forms.dates import read_day as read_typed_day
from app.web.requests import RequestContext


@dataclass(frozen=True, slots=True)
class ShopDay:
    """A day of the shop: its date, its first moment, that of the next day, and whether it is today. A shop that is
    open past midnight is still in the day before until it closes.

    midnight: when the clock shows the next date; at most the end. clock_date: the date whose times stand without a
    weekday; that of the clock if the day is today. open_until: the time at which today ends, if it is already after
    midnight; else empty. typed: the day as it stands in a field. previous_words and next_words: the days before and
    after it as the shop writes them.
    """

    local_date: date
    start: datetime
    end: datetime
    midnight: datetime
    is_today: bool
    clock_date: date
    open_until: str
    typed: str
    previous_words: str
    next_words: str

    @property
    def previous_date(self) -> date:
        return self.local_date - timedelta(days=1)

    @property
    def next_date(self) -> date:
        return self.local_date + timedelta(days=1)


class UnreadableDay(BadRequest):
    """The text in an address is no day; the description says what would be one."""

    def __init__(self, text: str, sentence: str) -> None:
        super().__init__(sentence)
        self.text, self.sentence = text, sentence


def read_date(text: str | None) -> date | None:
    """Returns the date in an address; None when it has none. Raises UnreadableDay when it is wrong."""
    if not text:
        return None
    try:
        return read_typed_day(text, near=Near.NEAREST)
    except ValidationError as wrong:
        raise UnreadableDay(text, str(wrong)) from None


def board_day(moment: datetime, here: RequestContext) -> ShopDay:
    """Returns the day on whose board work of this moment stands; work that should have been started before
    stands on today's."""
    return _day(max(here.shop.opening.day_of(moment), here.context.today), here)


def day_of_work(moment: datetime, here: RequestContext) -> ShopDay:
    """Returns the shop's day in which this moment lies."""
    return _day(here.shop.opening.day_of(moment), here)


def read_shop_day(text: str | None, here: RequestContext) -> ShopDay:
    """Returns the day in an address, or the shop's today. Raises UnreadableDay when it is wrong."""
    return _day(read_date(text) or here.context.today, here)


def _day(day: date, here: RequestContext) -> ShopDay:
    start, end = here.shop.opening.day_bounds(day)
    formats, is_today = here.formats, day == here.context.today
    clock_date = local_day(here.now, formats.zone) if is_today else day
    return ShopDay(
        local_date=day,
        start=start,
        end=end,
        midnight=day_bounds(day, formats.zone)[1],
        is_today=is_today,
        clock_date=clock_date,
        open_until=formats.clock(end) if clock_date != day else "",
        typed=formats.typed_date(day),
        previous_words=formats.day_of_week(day - timedelta(days=1)),
        next_words=formats.day_of_week(day + timedelta(days=1)),
    )
