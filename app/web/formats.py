"""This module formats what pages show: times in the shop's zone, and dates, numbers, money and measures as the
shop's locale and settings have them."""

import math
import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from app.craft.money import typed_amount
from app.quoting.settings.all_settings import MEASURES
from app.quoting.shop import Shop
from app.web import locales
from app.web.clock_words import clock_words
from app.web.measures import INCH_CM, MPH_M_S, OTHER_UNITS, OUNCE_G, ShownUnit, tenths_up

INCHES_PER_FOOT = 12
FEET_ALONE = 100
"""From this many feet on a length has no inches."""
OUNCES_PER_POUND = 16
NEAR_DAYS = 3
"""Within this many days of another day, the name of a weekday is not mistaken for last week's or next week's."""
SIZE_DIGITS = 3

NO_BREAK_SPACE = "\u00a0"
_MEASURE = re.compile(
    rf"((?<![\w.])[-−])?\b([0-9]+(?:\.[0-9]+)?){NO_BREAK_SPACE}(cm|m/s|g/m|per m|in|m|g|°C)(?!\w)"
)
"""A number with one of the units that sentences of the rooms below write. They put a no-break space before the
unit, by which it differs from the names of balloon types and supplies."""


LONG_CM = 200
"""From this on a length is in metres."""


@dataclass(frozen=True, slots=True)
class Formats:
    """How this shop shows times, temperatures, lengths and money.

    centimetres: whether balloon sizes are in cm. imperial: whether other lengths are in inches and feet, weights in
    ounces and pounds, and wind in miles per hour. in_metres: whether all lengths in metres or centimetres are in
    metres.
    """

    zone: ZoneInfo
    twelve_hours: bool
    fahrenheit: bool
    centimetres: bool
    currency: str
    decimals: int
    locale: str = locales.DEFAULT
    imperial: bool = False
    in_metres: bool = False

    @classmethod
    def of(cls, shop: Shop) -> "Formats":
        """Returns the formats of a shop's settings."""
        display = shop.display
        return cls(
            zone=shop.zone,
            twelve_hours=shop.twelve_hours,
            fahrenheit=display["temperature"] == "°F",
            centimetres=display["length"] == "cm",
            currency=str(display["currency_symbol"]),
            decimals=int(display["currency_decimals"]),
            locale=str(display["locale"]),
            imperial=display["measures"] == MEASURES[1],
        )

    def local(self, moment: datetime) -> datetime:
        """Returns the moment in the shop's zone."""
        return moment.astimezone(self.zone)

    def clock(self, moment: datetime) -> str:
        """Returns the time as “14:30” or “2:30 pm”, with the zone's letters when the clocks show that time
        twice."""
        return clock_words(moment.timestamp(), self.zone, self.locale, twelve_hours=self.twelve_hours)

    def time_of_day(self, at: time) -> str:
        """Returns a time that belongs to no date, such as an opening hour, as “14:30” or “2:30 pm”."""
        return locales.clock(self.locale, at.hour, at.minute, twelve_hours=self.twelve_hours)

    def short_day(self, moment: datetime) -> str:
        """Returns the day as “Sat 21 Nov”."""
        return self.short_date(self.local(moment).date())

    def day_with_year(self, moment: datetime) -> str:
        """Returns the day with its year, “Sat 21 Nov 2026”, for days that may be of another year."""
        return self.short_date_with_year(self.local(moment).date())

    def short_date(self, day: date) -> str:
        """Returns the date as “Sat 21 Nov”."""
        return locales.short_date(self.locale, day)

    def short_date_with_year(self, day: date) -> str:
        """Returns the date as “Sat 21 Nov 2026”."""
        return locales.date_with_year(self.locale, day)

    def day(self, day: date) -> str:
        """Returns the day as “Saturday 21 November 2026”."""
        return locales.long_date(self.locale, day)

    def typed_date(self, day: date) -> str:
        """Returns the date as it stands in a field, “21 Nov 2026”."""
        return locales.typed_date(self.locale, day)

    def day_of_week(self, day: date) -> str:
        """Returns the day as “Sat 21”, for a step to the next day or the one before."""
        return locales.day_of_week(self.locale, day)

    def weekday(self, day: date) -> str:
        """Returns the weekday as “Sat”, for the head of a column of days."""
        return locales.weekday(self.locale, day)

    def moment(self, moment: datetime) -> str:
        """Returns day and time as “Sat 21 Nov, 14:30”."""
        return f"{self.short_day(moment)}, {self.clock(moment)}"

    def stamp(self, moment: datetime) -> str:
        """Returns the local time as the tag of a time has it."""
        return self.local(moment).isoformat(timespec="minutes")

    def short_moment(self, moment: datetime, day: date) -> str:
        """Returns the time of a moment beside another day: alone on that day, with its weekday near it, else
        with its weekday and date."""
        local_date = self.local(moment).date()
        days_away = abs((local_date - day).days)
        if days_away == 0:
            return self.clock(moment)
        if days_away <= NEAR_DAYS:
            return f"{locales.weekday(self.locale, local_date)} {self.clock(moment)}"
        return self.moment(moment)

    def weekday_clock(self, moment: datetime, day: date) -> str:
        """Returns the time of a moment, with its weekday unless it is on the day: “14:30”, “Sat 14:30”."""
        local_date = self.local(moment).date()
        prefix = "" if local_date == day else f"{locales.weekday(self.locale, local_date)} "
        return f"{prefix}{self.clock(moment)}"

    def money(self, minor: int) -> str:
        """Returns minor units as a price: “£1,234.50”, “1.234,50 €”, “−£2.50”."""
        return self._price(minor, self.decimals, self.decimals)

    @property
    def currency_first(self) -> bool:
        """Whether the currency stands before an amount: “£2.50”, but “2,50 €”."""
        return locales.currency_first(self.locale, self.currency)

    def price_difference(self, minor: int) -> str:
        """Returns the difference of two prices: “+£3.00”, “−£1.50”, “same price”."""
        if minor == 0:
            return "same price"
        return f"+{self.money(minor)}" if minor > 0 else self.money(minor)

    def money_each(self, minor: int, count: float) -> str:
        """Returns the price of one when this count costs this much, rounded half up to a hundredth of a minor
        unit."""
        hundredths = math.floor(minor * 100 / count + 0.5)
        if minor and not hundredths:
            return f"under {self._price(1, self.decimals + 2, self.decimals + 2)}"
        return self._price(hundredths, self.decimals + 2, self.decimals)

    def _price(self, units: int, decimals: int, fewest: int) -> str:
        """Returns units, of which 10 to the power of decimals are one of the currency, as a price with this many
        digits after its mark, and more only where they are not zero."""
        return locales.price(self.locale, units, decimals, fewest, self.currency)

    def amount(self, minor: int | None) -> str:
        """Returns minor units as a person types them, without the currency; empty for None."""
        return self.table_amount(minor).replace(".", self.decimal_mark)

    @property
    def decimal_mark(self) -> str:
        """Returns the mark before the decimals of a number: “.” or “,”."""
        return locales.decimal_mark(self.locale)

    def typed_number(self, value: float, digits: int = 6) -> str:
        """Returns a number as a person types it into a field, with at most so many digits and no separators."""
        return f"{value:.{digits}g}".replace(".", self.decimal_mark)

    def table_amount(self, minor: int | None) -> str:
        """Returns minor units for a table that a program reads: “12.50” in every locale; empty for None."""
        return "" if minor is None else typed_amount(minor, self.decimals)

    def size(self, inches: float) -> str:
        """Returns the size of a balloon as “11 in” or “27.9 cm”."""
        if self.centimetres:
            return f"{locales.number(self.locale, inches * INCH_CM, 1, 1)} cm"
        return f"{self.number(inches, SIZE_DIGITS)} in"

    def temperature(self, celsius: float) -> str:
        """Returns a temperature with the shop's unit."""
        return self.in_unit(celsius, "°C", 0 if self.fahrenheit else 2)

    def wind(self, m_s: float) -> str:
        """Returns a wind as “5.4 m/s” or “12 mph”."""
        return f"{self.number(m_s / MPH_M_S)} mph" if self.imperial else f"{self.number(m_s, 1)} m/s"

    def grams(self, grams: float) -> str:
        """Returns a weight as “97 g” or “1.1 kg”, “3.5 oz” or “2.4 lb”, rounded up because less would not hold."""
        if self.imperial:
            ounces = tenths_up(grams / OUNCE_G)
            if ounces < OUNCES_PER_POUND:
                return f"{self.number(ounces, 1)} oz"
            return f"{self.number(tenths_up(grams / OUNCE_G / OUNCES_PER_POUND), 1)} lb"
        if grams <= 999:
            return f"{math.ceil(grams)} g"
        return f"{self.number(tenths_up(grams / 1000), 1)} kg"

    def weighed(self, grams: float, digits: int = 1) -> str:
        """Returns a weight as it was weighed or calculated, “2.96 g” or “0.1 oz”, rounded to the nearest. Ounces
        have one digit more, because they are larger."""
        shown = (
            f"{self.number(grams / OUNCE_G, digits + 1)} oz" if self.imperial else f"{self.number(grams, digits)} g"
        )
        return shown.replace("-", "−")

    def in_shop_units(self, sentence: str) -> str:
        """Returns a sentence of the rooms below the pages with its measures in the shop's units. These rooms write
        inches, cm, m, g, m/s and °C with a decimal point and a no-break space. Names stay as they are."""
        return _MEASURE.sub(lambda found: self._measure(found[1] or "", found[2], found[3]), sentence)

    def unit(self, kept: str) -> ShownUnit:
        """Returns the unit in which the shop types and reads values that are kept in this one."""
        if kept in ("in", "°C"):
            is_other = self.centimetres if kept == "in" else self.fahrenheit
        else:
            is_other = self.imperial
        return OTHER_UNITS.get(kept, ShownUnit(kept)) if is_other else ShownUnit(kept)

    def units(self, kept: str) -> tuple[ShownUnit, ...]:
        """Returns every unit that may be typed beside a value that is kept in this one, the shop's first."""
        shown, metric = self.unit(kept), ShownUnit(kept)
        return tuple(dict.fromkeys((shown, metric, OTHER_UNITS.get(kept, metric))))

    def in_unit(self, value: float, kept: str, digits: int = 2) -> str:
        """Returns a value that is kept in this unit with the shop's, as “0.54 oz/100 ft”."""
        unit = self.unit(kept)
        return f"{self.number(unit.shown(value), digits)} {unit.name}".strip()

    def _measure(self, sign: str, number: str, unit: str) -> str:
        value = float(number)
        if unit == "°C":
            return self.temperature(-value if sign else value)
        return sign + (self.size(value) if unit == "in" else self._length_or_weight(number, unit))

    def _length_or_weight(self, number: str, unit: str) -> str:
        value = float(number)
        if not self.imperial and unit == "g" and value > 999:
            return self.grams(value)
        if not self.imperial:
            return f"{number.replace('.', self.decimal_mark)} {unit}"
        if unit in ("m/s", "g/m", "per m"):
            return self.wind(value) if unit == "m/s" else self.in_unit(value, unit)
        return self.grams(value) if unit == "g" else self.length(value * 100 if unit == "m" else value)

    def number(self, value: float, digits: int = 0) -> str:
        """Returns a number with at most so many digits after its decimal mark."""
        return locales.number(self.locale, value, 0, digits)

    def percent(self, share: float) -> str:
        """Returns a share as “92%”, rounded down, because a chance is never said to be better than it is."""
        return locales.percent(self.locale, math.floor(share * 100 + 1e-9))

    def length(self, cm: float) -> str:
        """Returns a length of ribbon, a width or a height, as “85 cm” or “2.2 m”, “33.5 in” or “7 ft 3 in”."""
        if not self.imperial:
            in_metres = self.in_metres or cm >= LONG_CM
            return f"{self.number(cm / 100, 2)} m" if in_metres else f"{self.number(cm)} cm"
        if cm < 200:
            return f"{self.number(cm / INCH_CM, 1)} in"
        feet, inches = divmod(round(cm / INCH_CM), INCHES_PER_FOOT)
        if feet >= FEET_ALONE:
            return f"{self.number(cm / INCH_CM / INCHES_PER_FOOT)} ft"
        return f"{self.number(feet)} ft {inches} in" if inches else f"{self.number(feet)} ft"

    def minutes(self, minutes: int) -> str:
        """Returns a length of time, without its minutes if it is whole hours: “8 h”, “8 h 05 min”, “5 min”."""
        hours, rest = divmod(minutes, 60)
        if hours:
            return f"{hours} h {rest:02d} min" if rest else f"{hours} h"
        return f"{rest} min"

    def hours(self, hours: float) -> str:
        """Returns a time that is known only roughly as “7.5 h”, “15 h” or “6 days”."""
        if hours >= 96:
            return f"{self.number(hours / 24, 1)} days"
        return f"{self.number(hours, 1 if hours < 24 else 0)} h"

    def seconds(self, seconds: float) -> str:
        """Returns a short time as “3.8 s”."""
        digits = 1 if seconds < 9.95 else 0
        return f"{locales.number(self.locale, seconds, digits, digits)} s"

    def duration(self, length: timedelta) -> str:
        """Returns the length of a time in hours and minutes, without its sign."""
        return self.minutes(round(abs(length.total_seconds()) / 60))
