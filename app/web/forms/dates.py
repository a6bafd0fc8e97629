"""A date as people type it, read as the shop's country writes dates: “sat”, “tomorrow”, “12 Dec”, “12/12”,
“2026-12-12”. Each reader returns the date or raises ValidationError with one sentence."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import MAXYEAR, MINYEAR, date, timedelta
from enum import Enum

from wtforms.validators import ValidationError

from app.planning.shoptime import local_day
from app.store.search_keys import fold_text
from app.web import locales
from app.web.requests import request_context
from app.web.wording.forms import (
    CHECK_YEAR,
    CHOOSE_DATE,
    ENTER_DAY_OF_YEAR,
    ENTER_FULL_YEAR,
    ask_about_past_date,
    ask_which_is_month,
    describe_missing_day,
    describe_missing_month,
    describe_wrong_weekday,
    enter_date,
)

JUST_PASSED_DAYS = 92
"""A date without a year that passed at most so many days ago is asked about; chosen, no source."""
WEEK = timedelta(days=7)
FEWEST_LETTERS = 3
"""The fewest letters of a month or weekday that are taken for its name."""
LONGEST_MONTHS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
NAMED_DAYS = {
    **dict.fromkeys(("today", "tonight"), 0),
    **dict.fromkeys(("tomorrow", "tmrw"), 1),
    "day after tomorrow": 2,
    "yesterday": -1,
}
"""The days from today, by name."""
_ORDINAL = re.compile(r"(?<=\d)(st|nd|rd|th)\b")
_DATE = re.compile(r"[\w\s.,/–-]+")
_PART = re.compile(r"[^\W\d_]+|\d+")
_LEFT_OUT = {"on", "the", "of", "this", "coming"}
_A_WEEK_LATER = {"next", "week"}
_WEEKDAY_ALIASES = {"weds": "wed"}


class Near(Enum):
    """Which date is meant where the year is not typed: the coming one, the past one, or the nearest to today."""

    COMING = "coming"
    PAST = "past"
    NEAREST = "nearest"


@dataclass(frozen=True, slots=True)
class _Typed:
    """The parts of a typed date. weekday: 0 is Monday."""

    day: int
    month: int
    year: int | None
    weekday: int | None


@dataclass(frozen=True, slots=True)
class DateReader:
    """Reads typed dates. locale: the code of the shop's country. today: the shop's local date."""

    locale: str
    today: date
    near: Near = Near.COMING

    def read(self, text: str) -> date:
        """Returns the date that was typed. Raises ValidationError with a sentence when there is no such date, or
        when it can be read in two ways.

        A weekday is the coming one, which may be today; the last one where dates of the past are typed. With
        “next” before it, it is a week later.
        """
        plain = " ".join(fold_text(text).split())
        if plain in NAMED_DAYS:
            return self.today + timedelta(days=NAMED_DAYS[plain])
        parts = _PART.findall(_ORDINAL.sub("", plain)) if _DATE.fullmatch(plain) else []
        words = [word for word in parts if word.isalpha() and word not in _LEFT_OUT]
        numbers = [part for part in parts if part.isdecimal()]
        weekdays = [found for word in words if (found := self._weekday(word)) is not None]
        months = [found for word in words if (found := self._month(word)) is not None]
        later = [word for word in words if word in _A_WEEK_LATER]
        if len(weekdays) > 1 or len(months) > 1 or len(weekdays) + len(months) + len(later) < len(words):
            raise self._unreadable()
        weekday = weekdays[0] if weekdays else None
        if weekday is not None and not numbers and not months and len(later) <= 1:
            return self._named_weekday(weekday) + (WEEK if later else timedelta())
        if later:
            raise self._unreadable()
        typed = self._with_month(numbers, months[0], weekday) if months else self._of_numbers(numbers, weekday)
        return self._existing(typed)

    def read_day_of_year(self, text: str) -> str:
        """Returns MM-DD for a typed day without a year or a weekday, such as “14 Feb”; 29 Feb is one. Raises
        ValidationError with a sentence."""
        plain = " ".join(fold_text(text).split())
        parts = _PART.findall(_ORDINAL.sub("", plain)) if _DATE.fullmatch(plain) else []
        words = [word for word in parts if word.isalpha() and word not in _LEFT_OUT]
        numbers = [part for part in parts if part.isdecimal()]
        months = [found for word in words if (found := self._month(word)) is not None]
        if len(months) < len(words) or len(months) > 1 or len(numbers) != 2 - len(months):
            raise ValidationError(ENTER_DAY_OF_YEAR)
        typed = self._with_month(numbers, months[0], None) if months else self._of_numbers(numbers, None)
        self._check_day(typed)
        return f"{typed.month:02d}-{typed.day:02d}"

    def _check_day(self, typed: _Typed) -> None:
        """Raises ValidationError with a sentence if no year has this day."""
        if not 1 <= typed.day <= LONGEST_MONTHS[typed.month - 1]:
            raise ValidationError(describe_missing_day(typed.day, self._month_name(typed.month)))

    def _month_name(self, month: int) -> str:
        return locales.month_names(self.locale)[month - 1][0]

    @property
    def _order(self) -> str:
        return locales.date_order(self.locale)

    @property
    def _example(self) -> str:
        """A date in numbers, in the order of the shop; its month as a word where numbers would be asked about."""
        return {"d": "28/11", "M": "11/28"}.get(self._order[0], "2026-11-28")

    def _unreadable(self) -> ValidationError:
        return ValidationError(enter_date(self._example))

    def _weekday(self, word: str) -> int | None:
        return _named(_WEEKDAY_ALIASES.get(word, word), locales.weekday_names(self.locale))

    def _month(self, word: str) -> int | None:
        found = _named(word, locales.month_names(self.locale))
        return None if found is None else found + 1

    def _named_weekday(self, weekday: int) -> date:
        ahead = (weekday - self.today.weekday()) % 7
        back = self.near is Near.PAST and ahead > 0
        return self.today + timedelta(days=ahead - 7 if back else ahead)

    def _with_month(self, numbers: Sequence[str], month: int, weekday: int | None) -> _Typed:
        """Returns the parts of a date whose month is a word: “12 dec”, “dec 12 2026”, “2026 dec 12”."""
        if not 1 <= len(numbers) <= 2:
            raise self._unreadable()
        year_first = len(numbers) == 2 and len(numbers[0]) == 4
        day, year = reversed(numbers) if year_first else (numbers[0], numbers[1] if len(numbers) == 2 else None)
        return _Typed(self._small(day), month, self._year(year), weekday)

    def _of_numbers(self, numbers: Sequence[str], weekday: int | None) -> _Typed:
        """Returns the parts of a date in numbers. One that begins with a year of four digits is year, month, day;
        others are in the shop's order."""
        if not 2 <= len(numbers) <= 3:
            raise self._unreadable()
        if len(numbers) == 3 and len(numbers[0]) == 4:
            year, month, day = numbers
            typed = _Typed(self._small(day), self._small(month), self._year(year), weekday)
            return self._in_range(typed, "year", f"{year}-11-28")
        year_is_last = not self._order.startswith("y")
        if len(numbers) == 3 and not year_is_last and len(numbers[2]) != 4:
            raise ValidationError(ENTER_FULL_YEAR)
        one, two = self._small(numbers[0]), self._small(numbers[1])
        last = self._year(numbers[2] if len(numbers) == 3 else None)
        if not year_is_last:
            return self._of_either_order(one, two, last, weekday)
        day_is_first = self._order[0] == "d"
        day_number, month_number = (one, two) if day_is_first else (two, one)
        first = "day" if day_is_first else "month"
        return self._in_range(_Typed(day_number, month_number, last, weekday), first)

    def _of_either_order(self, one: int, two: int, year: int | None, weekday: int | None) -> _Typed:
        """Returns the parts where the shop's country writes the year first, so that two numbers have no order."""
        if one <= 12 and two <= 12 and one != two:
            raise ValidationError(ask_which_is_month(self._words(one, two), self._words(two, one)))
        day, month = (one, two) if one > 12 else (two, one)
        return self._in_range(_Typed(day, month, year, weekday), "year")

    def _in_range(self, typed: _Typed, first: str, example: str = "") -> _Typed:
        if not 1 <= typed.month <= 12:
            raise ValidationError(describe_missing_month(typed.month, first, example or self._example))
        return typed

    def _small(self, digits: str) -> int:
        if len(digits) > 2:
            raise self._unreadable()
        return int(digits)

    def _year(self, digits: str | None) -> int | None:
        """Returns a typed year; one of two digits is in this century. Returns None if none was typed."""
        if digits is None:
            return None
        if len(digits) not in (2, 4):
            raise self._unreadable()
        return int(digits) + (2000 if len(digits) == 2 else 0)

    def _words(self, day: int, month: int) -> str:
        return f"{day} {self._month_name(month)}"

    def _existing(self, typed: _Typed) -> date:
        """Returns the date with these parts. Raises ValidationError with a sentence when there is none."""
        self._check_day(typed)
        year = self._likely_year(typed) if typed.year is None else typed.year
        if not MINYEAR <= year <= MAXYEAR:
            raise ValidationError(CHECK_YEAR)
        found = _date(year, typed)
        if found is None:
            raise ValidationError(describe_missing_day(typed.day, self._month_name(typed.month), year))
        if typed.weekday not in (None, found.weekday()):
            names = locales.weekday_names(self.locale)
            sentence = (self._full(found), names[found.weekday()][0], names[typed.weekday or 0][0])
            raise ValidationError(describe_wrong_weekday(*sentence))
        return found

    def _likely_year(self, typed: _Typed) -> int:
        """Returns the year of a date without one. Raises ValidationError where a coming date is expected and this
        one has just passed."""
        ahead = self._days_ahead(self.today.year, typed)
        coming = self.today.year if ahead >= 0 else self.today.year + 1
        ahead, ago = self._days_ahead(coming, typed), -self._days_ahead(coming - 1, typed)
        if ahead == 0:
            return coming
        if self.near is Near.PAST:
            return coming if ahead <= JUST_PASSED_DAYS else coming - 1
        if self.near is Near.NEAREST:
            return coming if ahead <= ago else coming - 1
        gone, again = _date(coming - 1, typed), _date(coming, typed)
        if gone and again and ago <= JUST_PASSED_DAYS:
            raise ValidationError(ask_about_past_date(self._full(gone), locales.typed_date(self.locale, again)))
        return coming

    def _days_ahead(self, year: int, typed: _Typed) -> int:
        """Returns the days from today to the date in that year; to 28 February where that year has no 29th."""
        return ((_date(year, typed) or date(year, 2, 28)) - self.today).days

    def _full(self, day: date) -> str:
        return f"{self._words(day.day, day.month)} {day.year}"


def _date(year: int, typed: _Typed) -> date | None:
    """Returns the date in that year; None if the year does not have it."""
    try:
        return date(year, typed.month, typed.day)
    except ValueError:
        return None


def _named(word: str, names: Sequence[Sequence[str]]) -> int | None:
    """Returns the place of the only name that begins with the word, or is the word; None if there is none."""
    if len(word) < FEWEST_LETTERS:
        return None
    found = {place for place, forms in enumerate(names) if any(fold_text(form).startswith(word) for form in forms)}
    return found.pop() if len(found) == 1 else None


def date_reader(near: Near = Near.COMING) -> DateReader:
    """Returns the reader of the shop's dates."""
    here = request_context()
    return DateReader(here.formats.locale, local_day(here.now, here.formats.zone), near)


def read_day(text: str, *, any_year: bool = False, near: Near = Near.COMING) -> date:
    """Returns the date that was typed, from 2000 to 2100, unless any year may be. near: which date is meant where
    the year is not typed. Raises ValidationError with a sentence."""
    if not text.strip():
        raise ValidationError(CHOOSE_DATE)
    day = date_reader(near).read(text)
    if not any_year and not 2000 <= day.year <= 2100:
        raise ValidationError(CHECK_YEAR)
    return day


def read_day_of_year(text: str) -> str:
    """Returns MM-DD for a typed day of the year. Raises ValidationError with a sentence."""
    return date_reader().read_day_of_year(text)


def written_out(text: str, day: date) -> str:
    """Returns a typed date as it may stay in its field. What depends on the day on which it is read, such as
    “tomorrow”, is written out."""
    return text if re.search(r"\d{4}", text) else request_context().formats.typed_date(day)
