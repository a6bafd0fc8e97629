"""Units of length, weight, wind and temperature: in which of them a value is kept, and in which a shop types and
reads it."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from app.quoting.request import FOOT_M

INCH_CM = 2.54
OUNCE_G = 28.349523125
MPH_M_S = 0.44704
BOUND_DIGITS = 3
MOST_DECIMALS = 12
NEAR = 5e-4
"""How far a value may be from the exact conversion of a typed number, as a share of it, to have fewer digits."""


@dataclass(frozen=True, slots=True)
class ShownUnit:
    """A unit that stands beside a number. size: how much one of it is in the unit in which the value is kept. zero:
    what is kept where it shows 0."""

    name: str
    size: float = 1.0
    zero: float = 0.0

    def kept(self, shown: float) -> float:
        """Returns a number of this unit in the unit in which the value is kept."""
        return shown * self.size + self.zero

    def shown(self, kept: float) -> float:
        """Returns a kept value in this unit."""
        return (kept - self.zero) / self.size


IMPERIAL: Mapping[str, ShownUnit] = {
    "cm": ShownUnit("in", INCH_CM),
    "m": ShownUnit("ft", FOOT_M),
    "g": ShownUnit("oz", OUNCE_G),
    "m/s": ShownUnit("mph", MPH_M_S),
    "g/m": ShownUnit("oz/100 ft", OUNCE_G / (100 * FOOT_M)),
    "per m": ShownUnit("per ft", 1 / FOOT_M),
    "h/g": ShownUnit("h/oz", 1 / OUNCE_G),
}
"""The unit of a shop in inches and ounces, by the unit in which the value is kept."""
CENTIMETRES = ShownUnit("cm", 1 / INCH_CM)
"""The unit of a shop whose balloon sizes are in cm; they are kept in inches."""
FAHRENHEIT = ShownUnit("°F", 5 / 9, -160 / 9)
"""The unit of a shop in °F; temperatures are kept in °C."""
OTHER_UNITS: Mapping[str, ShownUnit] = {**IMPERIAL, "in": CENTIMETRES, "°C": FAHRENHEIT}
"""The unit that may be typed besides the one in which the value is kept, by the latter."""


def shown_count(count: float, unit: ShownUnit) -> float:
    """Returns a count of goods as it is shown: to hundredths, in another unit than it is kept in to tenths."""
    return round(unit.shown(count), 2 if unit.size == 1.0 else 1)


def kept_value(typed: str, unit: ShownUnit, decimals: int | None = None) -> float:
    """Returns a typed number of a unit in the unit in which it is kept.

    It is the number with the fewest digits that is as near to the exact conversion as the typed decimals tell, and
    not further away than NEAR: 4.92 ft are 1.5 m. decimals: if given, it is the exact conversion, rounded to so
    many. Raises ValueError if it is no number.
    """
    number = float(typed)
    exact = unit.kept(number)
    if unit.size == 1.0 or not math.isfinite(exact):
        return number
    if decimals is not None:
        return round(exact, decimals)
    typed_to = 0.5 * 10.0 ** -len(typed.partition(".")[2]) * unit.size
    near = min(typed_to, abs(exact) * NEAR)
    rounded = (float(f"{exact:.{digits}g}") for digits in range(1, 16))
    return next((one for one in rounded if abs(one - exact) <= near), exact)


def typed_value(kept: float, unit: ShownUnit, read: Callable[[str], float] | None = None) -> str:
    """Returns a kept value as a person types it in a unit, with the fewest decimals that are read as this value.

    read: reads what is typed, by default `kept_value`.
    """
    if unit.size == 1.0:
        return f"{kept:.10g}"
    texts = [f"{unit.shown(kept):.{decimals}f}" for decimals in range(MOST_DECIMALS + 1)]
    return next((text for text in texts if (read(text) if read else kept_value(text, unit)) == kept), texts[-1])


def shown_range(low: float, high: float, unit: ShownUnit) -> tuple[float, float]:
    """Returns a range in a unit, with ends of a few digits that are read as values inside it."""
    if unit.size == 1.0:
        return low, high
    return _inner_end(low, 1, unit), _inner_end(high, -1, unit)


def _inner_end(end: float, inward: int, unit: ShownUnit) -> float:
    """Returns an end of a range in a unit, rounded to a few digits that are read as a value inside the range.

    inward: 1 for the lower end, -1 for the upper one. A rounding error of the computer does not count.
    """
    value = unit.shown(end)
    if not value:
        return value
    step = 10.0 ** (BOUND_DIGITS - 1 - math.floor(math.log10(abs(value))))
    whole = math.ceil(round(inward * value * step, 6))
    shown = inward * whole / step
    is_inside = (kept_value(f"{shown:g}", unit) - end) * inward >= 0
    return shown if is_inside else inward * (whole + 1) / step


def tenths_up(value: float) -> float:
    """Returns a number rounded up to a tenth; what is over by a rounding error of the computer is not."""
    return math.ceil(round(value * 10, 6)) / 10
