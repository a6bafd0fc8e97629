"""This module writes dates, times, numbers and prices as a locale has them.

Source: Unicode CLDR, by Babel. What pages write again and again is remembered, because a page has hundreds of times
and Babel goes through its patterns for each.
"""

import re
from collections.abc import Mapping
from datetime import date, time
from decimal import Decimal
from functools import cache, lru_cache

from babel import Locale
from babel.numbers import NumberPattern, parse_pattern

DEFAULT = "en_GB"
REMEMBERED = 4096
NO_BREAK = "\xa0"


@cache
def _locale(code: str) -> Locale:
    return Locale.parse(code)


def country_names(codes: tuple[str, ...]) -> Mapping[str, str]:
    """Returns the names of the locales' countries by code: “United Kingdom”."""
    return {code: str(_locale(code).get_territory_name("en")) for code in codes}


def _skeleton(code: str, skeleton: str, value: date | time) -> str:
    """Returns a date or time in CLDR's pattern for these parts."""
    locale = _locale(code)
    return str(locale.datetime_skeletons[skeleton].apply(value, locale))


def first_weekday(code: str) -> int:
    """Returns the weekday with which a week begins; 0 is Monday."""
    return int(_locale(code).first_week_day)


@lru_cache(REMEMBERED)
def clock(code: str, hour: int, minute: int, *, twelve_hours: bool) -> str:
    """Returns a time as “14:30” or “2:30 pm”. CLDR's narrow space before am and pm is a plain one here, because not
    every font has it and because times are searched for."""
    return _skeleton(code, "hm" if twelve_hours else "Hm", time(hour, minute)).replace("\u202f", " ")


@cache
def _weekday_joint(code: str) -> str:
    """Returns what stands between weekday and date: “ ” or “, ”. It is that of the short date everywhere, because
    CLDR writes a comma in some patterns of one locale and none in others."""
    found = re.match(r"E+([^A-Za-z]+)", _locale(code).datetime_skeletons["MMMEd"].pattern)
    return found[1] if found else " "


@lru_cache(REMEMBERED)
def weekday(code: str, day: date) -> str:
    """Returns the weekday as “Sat”."""
    return str(_locale(code).days["format"]["abbreviated"][day.weekday()])


@lru_cache(REMEMBERED)
def day_of_week(code: str, day: date) -> str:
    """Returns weekday and day of the month as “Sat 21”."""
    return _skeleton(code, "Ed", day)


@lru_cache(REMEMBERED)
def short_date(code: str, day: date) -> str:
    """Returns a date as “Sat 21 Nov”."""
    return _skeleton(code, "MMMEd", day)


@lru_cache(REMEMBERED)
def date_with_year(code: str, day: date) -> str:
    """Returns a date as “Sat 21 Nov 2026”."""
    return weekday(code, day) + _weekday_joint(code) + _skeleton(code, "yMMMd", day)


@lru_cache(REMEMBERED)
def long_date(code: str, day: date) -> str:
    """Returns a date as “Saturday 21 November 2026”."""
    locale = _locale(code)
    name = locale.days["format"]["wide"][day.weekday()]
    return f"{name}{_weekday_joint(code)}{locale.date_formats['long'].apply(day, locale)}"


def typed_date(code: str, day: date) -> str:
    """Returns a date as it stands in a field, “21 Nov 2026”."""
    return _skeleton(code, "yMMMd", day)


@cache
def month_names(code: str) -> tuple[tuple[str, ...], ...]:
    """Returns the names of each month from January on, in full and short."""
    months = _locale(code).months["format"]
    return tuple((str(months["wide"][month]), str(months["abbreviated"][month])) for month in range(1, 13))


@cache
def weekday_names(code: str) -> tuple[tuple[str, ...], ...]:
    """Returns the names of each weekday from Monday on, in full and short."""
    days = _locale(code).days["format"]
    return tuple((str(days["wide"][weekday]), str(days["abbreviated"][weekday])) for weekday in range(7))


@cache
def date_order(code: str) -> str:
    """Returns the order of day, month and year in a date of numbers: “dMy”, “Mdy” or “yMd”."""
    return "".join(part[0] for part in re.findall(r"d+|M+|y+", _locale(code).date_formats["short"].pattern))


@cache
def decimal_mark(code: str) -> str:
    """Returns the mark before the decimals: “.” or “,”."""
    return str(_locale(code).number_symbols["latn"]["decimal"])


@cache
def _number_pattern(code: str, fewest: int, most: int) -> NumberPattern:
    """Returns the locale's pattern of a number with fewest to most digits after its mark."""
    pattern = parse_pattern(_locale(code).decimal_formats[None].pattern)
    pattern.frac_prec = (fewest, most)
    return pattern


@lru_cache(REMEMBERED)
def number(code: str, value: float, fewest: int, most: int) -> str:
    """Returns a number with fewest to most digits after its mark, and never −0."""
    return _decimal(code, Decimal(repr(round(float(value), most) + 0.0)), fewest, most)


def _decimal(code: str, value: Decimal, fewest: int, most: int) -> str:
    return str(_number_pattern(code, fewest, most).apply(value, _locale(code)))


@lru_cache(REMEMBERED)
def percent(code: str, whole: int) -> str:
    """Returns a whole percentage as “92%”."""
    pattern = parse_pattern(_locale(code).percent_formats[None].pattern)
    return str(pattern.apply(Decimal(whole).scaleb(-2), _locale(code)))


@cache
def _currency_places(code: str, symbol: str) -> tuple[str, str]:
    """Returns what stands before and after a price. A symbol that ends in a letter is set apart, as CLDR's spacing
    of currencies has it: “CHF 12.50”."""
    pattern = parse_pattern(_locale(code).currency_formats["standard"].pattern)
    before, after = pattern.prefix[0].replace("¤", symbol), pattern.suffix[0].replace("¤", symbol)
    return before + (NO_BREAK if before[-1:].isalpha() else ""), (NO_BREAK if after[:1].isalpha() else "") + after


def currency_first(code: str, symbol: str) -> bool:
    """Returns whether the symbol stands before a price."""
    return symbol in _currency_places(code, symbol)[0]


@lru_cache(REMEMBERED)
def price(code: str, units: int, decimals: int, fewest: int, symbol: str) -> str:
    """Returns units, of which 10 to the power of decimals are one of the currency, as a price with the shop's
    symbol; a minus stands before all of it."""
    before, after = _currency_places(code, symbol)
    amount = _decimal(code, Decimal(abs(units)).scaleb(-decimals), fewest, decimals)
    return f"{'−' if units < 0 else ''}{before}{amount}{after}"
