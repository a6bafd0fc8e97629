"""This module formats what pages show: times in the shop's zone, and money, sizes and temperatures in the shop's
units."""

import math
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from app.craft.money import format_minor, typed_amount
from app.quoting.shop import Shop

INCH_CM = 2.54
NEAR_DAYS = 3
"""Within this many days of another day, the name of a weekday is not mistaken for last week's or next week's."""


@dataclass(frozen=True, slots=True)
class Formats:
    """How this shop shows times, temperatures, lengths and money."""

    zone: ZoneInfo
    twelve_hours: bool
    fahrenheit: bool
    centimetres: bool
    currency: str
    decimals: int

    @classmethod
    def of(cls, shop: Shop) -> "Formats":
        """Returns the formats of a shop's settings."""
        display = shop.display
        return cls(
            zone=shop.zone,
            twelve_hours=display["clock"] == "12 h",
            fahrenheit=display["temperature"] == "°F",
            centimetres=display["length"] == "cm",
            currency=str(display["currency_symbol"]),
            decimals=int(display["currency_decimals"]),
        )

    def local(self, moment: datetime) -> datetime:
        """Returns the moment in the shop's zone."""
        return moment.astimezone(self.zone)

    def clock(self, moment: datetime) -> str:
        """Returns the time as “14:30” or “2:30 pm”, with the zone's letters when the clocks show that time
        twice."""
        local = self.local(moment)
        text = (
            f"{local.hour % 12 or 12}:{local:%M} {'am' if local.hour < 12 else 'pm'}"
            if self.twelve_hours
            else f"{local:%H:%M}"
        )
        other = local.replace(fold=1 - local.fold)
        return (
            f"{text} {local:%Z}" if other.utcoffset() != local.utcoffset() and _is_shown_by_clocks(other) else text
        )

    def short_day(self, moment: datetime) -> str:
        """Returns the day as “Sat 21 Nov”."""
        local = self.local(moment)
        return f"{local:%a} {local.day} {local:%b}"

    def day_with_year(self, moment: datetime) -> str:
        """Returns the day with its year, “Sat 21 Nov 2026”, for days that may be of another year."""
        return f"{self.short_day(moment)} {self.local(moment).year}"

    def day(self, day: date) -> str:
        """Returns the day as “Saturday 21 November 2026”."""
        return f"{day:%A} {day.day} {day:%B %Y}"

    def moment(self, moment: datetime) -> str:
        """Returns day and time as “Sat 21 Nov, 14:30”."""
        return f"{self.short_day(moment)}, {self.clock(moment)}"

    def short_moment(self, moment: datetime, day: date) -> str:
        """Returns the time of a moment beside another day: alone on that day, with its weekday near it, else
        with its date."""
        local = self.local(moment)
        days_away = abs((local.date() - day).days)
        if days_away == 0:
            return self.clock(moment)
        return (
            f"{local:%a} {self.clock(moment)}"
            if days_away <= NEAR_DAYS
            else f"{local.day} {local:%b} {self.clock(moment)}"
        )

    def money(self, minor: int) -> str:
        return format_minor(minor, self.decimals, self.currency)

    def price_difference(self, minor: int) -> str:
        """Returns the difference of two prices: “+£3.00”, “−£1.50”, “same price”."""
        if minor == 0:
            return "same price"
        return f"+{self.money(minor)}" if minor > 0 else self.money(minor)

    def money_each(self, minor: int, count: float) -> str:
        """Returns the price of one when this count costs this much, rounded half up to a hundredth of a minor
        unit."""
        fine = replace(self, decimals=self.decimals + 2)
        hundredths = math.floor(minor * 100 / count + 0.5)
        if minor and not hundredths:
            return f"under {fine.money(1)}"
        return self.money(hundredths // 100) if hundredths % 100 == 0 else fine.money(hundredths).rstrip("0")

    def amount(self, minor: int | None) -> str:
        """Returns minor units as a person types them, without the currency; empty for None."""
        return "" if minor is None else typed_amount(minor, self.decimals)

    def size(self, inches: float) -> str:
        return f"{inches * INCH_CM:.1f} cm" if self.centimetres else f"{inches:g} in"

    def inches_of(self, shown: float) -> float:
        """Returns a size in the shop's unit as inches."""
        return shown / INCH_CM if self.centimetres else shown

    def shown_size(self, inches: float) -> float:
        """Returns inches in the shop's unit of size."""
        return round(inches * INCH_CM, 1) if self.centimetres else inches

    @property
    def size_unit(self) -> str:
        return "cm" if self.centimetres else "in"

    def temperature(self, celsius: float) -> str:
        """Returns a temperature with the shop's unit."""
        return f"{celsius * 9 / 5 + 32:.0f} °F" if self.fahrenheit else f"{celsius:g} °C"

    def wind(self, m_s: float) -> str:
        return f"{m_s:g} m/s"

    def grams(self, grams: float) -> str:
        """Returns a weight as “97 g” or “1.1 kg”, rounded up because less would not hold."""
        return f"{math.ceil(grams)} g" if grams < 1000 else f"{math.ceil(grams / 100) / 10:g} kg"

    def celsius_of(self, shown: float) -> float:
        """Returns a temperature in the shop's unit as °C."""
        return (shown - 32) * 5 / 9 if self.fahrenheit else shown

    def shown_temperature(self, celsius: float) -> float:
        """Returns °C in the shop's unit of temperature."""
        return round(celsius * 9 / 5 + 32, 1) if self.fahrenheit else celsius

    def number(self, value: float, digits: int = 0) -> str:
        """Returns a number with at most so many digits after its point."""
        text = f"{value:.{digits}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text

    def percent(self, share: float) -> str:
        """Returns a share as “92%”, rounded down, because a chance is never said to be better than it is."""
        return f"{math.floor(share * 100 + 1e-9)}%"

    def length(self, cm: float) -> str:
        """Returns a length of ribbon, a width or a height, as “85 cm” or “2.2 m”."""
        return f"{self.number(cm)} cm" if cm < 200 else f"{self.number(cm / 100, 2)} m"

    def minutes(self, minutes: int) -> str:
        hours, rest = divmod(minutes, 60)
        return f"{hours} h {rest:02d} min" if hours else f"{rest} min"

    def hours(self, hours: float) -> str:
        return f"{hours / 24:.1f} days" if hours >= 96 else f"{hours:.1f} h"

    def seconds(self, seconds: float) -> str:
        return f"{seconds:.1f} s" if seconds < 9.95 else f"{seconds:.0f} s"

    def duration(self, length: timedelta) -> str:
        """Returns the length of a time in hours and minutes, without its sign."""
        return self.minutes(round(abs(length.total_seconds()) / 60))


def _is_shown_by_clocks(local: datetime) -> bool:
    """Returns whether the clocks ever show this local time; they do not show one that they skip."""
    zone = local.tzinfo
    return local.astimezone(ZoneInfo("UTC")).astimezone(zone).replace(tzinfo=None) == local.replace(tzinfo=None)
