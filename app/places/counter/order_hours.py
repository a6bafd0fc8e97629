"""The times in the order form: when it starts, until when it must float, and when it is handed over."""

from datetime import date, datetime, timedelta
from typing import Protocol

from wtforms import FormField

from app.planning.shoptime import local_day
from app.quoting.request import Occasion
from app.web.formats import Formats
from app.web.forms import MomentForm, RadioChoiceField, add_sentence, read_hour

ENDS_AS_IT_STARTS = "It starts and ends at {time}. Does it end the next day?"
ENDS_BEFORE_IT_STARTS = "It ends before it starts at {time}. Does it end the next day?"


class HoursPart(Protocol):
    """The part of the order form with its times."""

    occasion: RadioChoiceField
    event_start: FormField
    lasts_until: FormField
    hand_over_time: FormField
    later_hand_over_time: FormField
    next_day_offer: datetime | None
    ends_next_day: date | None

    @property
    def has_later_part(self) -> bool: ...


def read_hours(form: HoursPart, formats: Formats) -> dict[str, datetime | None]:
    """Returns each time that the occasion asks for; a missing date follows from the time before it."""
    hours: dict[str, datetime | None] = dict.fromkeys(
        ("event_start", "lasts_until", "hand_over_time", "later_hand_over_time")
    )
    if form.occasion.data == Occasion.NOW:
        return hours
    day: date | None = None
    start: datetime | None = None
    is_event = form.occasion.data == Occasion.EVENT
    if is_event:
        hours["event_start"] = start = form.event_start.form.read(formats)
        day = local_day(start, formats.zone) if start else None
    form.ends_next_day = _next_day_of_end(form.lasts_until.form, start, formats) if is_event else None
    hours["lasts_until"] = last = form.lasts_until.form.read(formats, form.ends_next_day or day, follows=is_event)
    day = day or (local_day(last, formats.zone) if last else None)
    hours["hand_over_time"] = form.hand_over_time.form.read(formats, day, follows=True)
    if form.has_later_part:
        hours["later_hand_over_time"] = form.later_hand_over_time.form.read(formats, day, follows=True)
    _check_order(form, hours["event_start"], last, formats)
    return hours


def _next_day_of_end(end: MomentForm, start: datetime | None, formats: Formats) -> date | None:
    """Returns the day after the start if the end has no date and its hour is before that of the start."""
    hour = read_hour(end.hour.data or "")
    if start is None or hour is None or (end.day.data or "").strip():
        return None
    local = formats.local(start)
    return local.date() + timedelta(days=1) if hour < (local.hour, local.minute) else None


def _check_order(form: HoursPart, start: datetime | None, end: datetime | None, formats: Formats) -> None:
    """Adds a problem if the end is not after the start. The next day is then offered, because the typed date says
    something else, or because both have the same hour."""
    if start is None or end is None or end > start:
        return
    local = formats.local(end)
    offered = formats.local(start).date() + timedelta(days=1)
    form.next_day_offer = local.replace(year=offered.year, month=offered.month, day=offered.day)
    starts = formats.clock(start)
    sentence = ENDS_AS_IT_STARTS if end == start else ENDS_BEFORE_IT_STARTS
    add_sentence(form.lasts_until.form.hour, sentence.format(time=starts))


def end_next_day(form: HoursPart, formats: Formats) -> None:
    """Sets the date of the end to the day after the start; that is what next_day_offer offers."""
    start = form.event_start.form.read(formats)
    if start:
        form.lasts_until.form.day.data = formats.typed_date(local_day(start, formats.zone) + timedelta(days=1))
