"""A date and a time as people write them, and two times of one day."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import Any

from wtforms import StringField
from wtforms.validators import ValidationError

from app.planning.shoptime import Fold, TimeShownTwice, TimeSkipped, to_utc
from app.web.formats import Formats
from app.web.forms.dates import read_day, written_out
from app.web.forms.reading import read_hour, read_time_range
from app.web.forms.shop_form import ShopForm, add_sentence
from app.web.requests import request_context
from app.web.wording.forms import (
    CHECK_YEAR,
    CHOOSE_DATE,
    ENTER_TIME,
    describe_skipped_time,
    describe_time_shown_twice,
)


class MomentForm(ShopForm):
    """A date and a time as people write them. fold: asked only when the clocks show that time twice."""

    day = StringField()
    hour = StringField()
    fold = StringField()

    is_ambiguous = False

    @property
    def hour_example(self) -> str:
        """A time as the shop writes it, shown in the empty field."""
        return request_context().formats.time_of_day(time(18, 30))

    @property
    def is_empty(self) -> bool:
        """Whether neither date nor time is typed."""
        return not (self.day.data or "").strip() and not (self.hour.data or "").strip()

    def fill_in(self, moment: datetime | None, formats: Formats) -> None:
        """Fills the fields with a moment; leaves them empty for None."""
        if moment is None:
            return
        local = formats.local(moment)
        self.day.data = formats.typed_date(local.date())
        self.hour.data = formats.time_of_day(local.time())
        other = local.replace(fold=1 - local.fold)
        if other.utcoffset() != local.utcoffset():
            self.fold.data = Fold.SECOND if local.fold else Fold.FIRST

    def read(self, formats: Formats, day_if_none: date | None = None, *, follows: bool = False) -> datetime | None:
        """Returns the moment in UTC; None, with a sentence at its field, when it cannot be read.

        follows: a missing date follows from a moment before it. If that one is wrong, only that one says so.
        """
        day = self._day(day_if_none, follows)
        hour = self._hour()
        if day is None or hour is None:
            return None
        local = datetime.combine(day, time.min) + timedelta(hours=hour[0], minutes=hour[1])
        turn = Fold(self.fold.data) if self.fold.data in {*Fold} else None
        try:
            return to_utc(local, formats.zone, turn)
        except TimeSkipped as skipped:
            times = (formats.time_of_day(at.time()) for at in (local, skipped.after))
            self._add_problem("hour", describe_skipped_time(*times))
        except TimeShownTwice:
            self.is_ambiguous = True
            self._add_problem("fold", describe_time_shown_twice(formats.time_of_day(local.time())))
        except OverflowError:
            self._add_problem("day", CHECK_YEAR)
        return None

    def _day(self, day_if_none: date | None, follows: bool) -> date | None:
        text = (self.day.data or "").strip()
        if not text:
            if day_if_none is None and not follows:
                self._add_problem("day", CHOOSE_DATE)
            return day_if_none
        try:
            day = read_day(text)
            self.day.data = written_out(text, day)
            return day
        except ValidationError as wrong:
            self._add_problem("day", str(wrong))
            return None

    def _hour(self) -> tuple[int, int] | None:
        text = (self.hour.data or "").strip()
        if not text:
            self._add_problem("hour", ENTER_TIME)
            return None
        hour = read_hour(text)
        if hour is None:
            self._add_problem("hour", ENTER_TIME)
        return hour

    def _add_problem(self, field: str, sentence: str) -> None:
        add_sentence(self[field], sentence)


class TimeRangeForm(ShopForm):
    """Two times of one day, of which the second may be on the next. minutes: from and to after midnight, once
    validated; None where both are left empty."""

    first = StringField()
    last = StringField()

    minutes: tuple[int, int] | None = None

    @property
    def missing(self) -> str:
        """The sentence where both are left empty; where it is empty, they may be."""
        return ""

    def fill_in(self, hours: Sequence[time], formats: Formats) -> None:
        """Fills the fields with two times as the shop writes them; leaves them empty for none."""
        for field, hour in zip((self.first, self.last), hours, strict=False):
            field.data = formats.time_of_day(hour)

    def validate(self, extra_validators: Any = None) -> bool:
        sound = bool(super().validate(extra_validators))
        return self._validate_hours() and sound

    def _validate_hours(self) -> bool:
        """Puts the sentence at the hour that is wrong: at the second one where both are hours."""
        try:
            self.minutes = read_time_range(self.first.data or "", self.last.data or "", self.missing)
        except ValidationError as wrong:
            self.minutes = None
            add_sentence(self.last if read_hour(self.first.data or "") else self.first, wrong)
            return False
        if self.minutes is None and self.missing:
            add_sentence(self.first, self.missing)
            return False
        return True
