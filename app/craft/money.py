"""This module holds money as whole minor units of the shop's currency, and is the only place that rounds it.

Percents are Decimals, as the shop writes them: 20, 8.875 and 8.1875 are all exact, where binary floats are not and
thousandths would lose the last one. They are multiplied as Fractions, so nothing is rounded before the line.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

HUNDRED = Decimal(100)


def half_up(minor: Fraction) -> int:
    """Returns an amount rounded to whole minor units.

    A half is rounded away from zero, so that paying an amount back is rounded like taking it.
    """
    number, of = minor.numerator, minor.denominator
    size = (2 * abs(number) + of) // (2 * of)
    return size if number >= 0 else -size


def to_decimal(number: float) -> Decimal:
    """Returns a float as the shortest decimal that stands for it, which is the number that somebody typed.

    Raises ValueError when it is not finite.
    """
    if not math.isfinite(number):
        raise ValueError(f"{number} cannot be calculated with")
    return Decimal(repr(float(number)))


@lru_cache(256, typed=True)
def percent_as_fraction(percent: Decimal, most: Decimal | None = HUNDRED) -> Fraction:
    """Returns a percent as a share of 1.

    most: the largest percent allowed, or None for no limit. Raises ValueError below 0 or above most, and TypeError
    for anything but a Decimal.
    """
    if not isinstance(percent, Decimal):
        raise TypeError(f"{percent!r} percent: give to_decimal() of it, a float is not exact")
    if not percent.is_finite() or percent < 0 or (most is not None and percent > most):
        raise ValueError(f"{percent}% lies outside 0 to {most if most is not None else 'any size'}")
    return Fraction(percent) / 100


def format_minor(minor: int, decimals: int, symbol: str = "") -> str:
    """Returns minor units as a price, such as “−£1,234.50”.

    decimals: the number of decimals of the currency, so 10 to the power of decimals minor units are one of it.
    """
    whole, rest = divmod(abs(minor), 10**decimals)
    cents = f".{rest:0{decimals}d}" if decimals else ""
    return f"{'−' if minor < 0 else ''}{symbol}{whole:,}{cents}"


@dataclass(frozen=True, slots=True)
class Percent:
    """A part of a sum as a percent of it, 0 to 100, rounded half up. Creating one raises ValueError outside."""

    percent: Decimal

    def __post_init__(self) -> None:
        percent_as_fraction(self.percent)

    def of(self, minor: int) -> int:
        """Returns this percent of a sum, in minor units."""
        return half_up(minor * percent_as_fraction(self.percent))


@dataclass(frozen=True, slots=True)
class Amount:
    """A part of a sum as a fixed amount in minor units, 0 or more. Creating one raises ValueError below 0."""

    minor: int

    def __post_init__(self) -> None:
        if self.minor < 0:
            raise ValueError(f"{self.minor}: an amount cannot be negative")

    def of(self, minor: int) -> int:
        """Returns this amount, but never more than the sum, in minor units."""
        return min(self.minor, minor)


Portion = Percent | Amount
ZERO_AMOUNT = Amount(0)


def typed_amount(minor: int, decimals: int) -> str:
    """Returns minor units as a person types them, without the currency: “12.50”."""
    return f"{minor / 10**decimals:.{decimals}f}"


def typed_percent(percent: Decimal) -> str:
    """Returns a percent as a person types it, without zeros at the end: “8.5%”."""
    return f"{percent.normalize():f}%"


def split_in_proportion(minor: int, sizes: Sequence[int]) -> tuple[int, ...]:
    """Returns minor units split in proportion to the sizes, by largest remainder; of equal remainders, the first
    gains.

    The shares add up to minor exactly, and none is larger than its size. Raises ValueError when a size is below 0,
    and when minor does not lie between 0 and the sum of the sizes. Source: Hamilton's method of apportionment.
    """
    whole = sum(sizes)
    if not 0 <= minor <= whole or any(size < 0 for size in sizes):
        raise ValueError(f"{minor} cannot be shared out over {list(sizes)}")
    if whole == 0:
        return (0,) * len(sizes)
    shares = [minor * size // whole for size in sizes]
    by_remainder = sorted(range(len(sizes)), key=lambda at: -(minor * sizes[at] % whole))
    for at in by_remainder[: minor - sum(shares)]:
        shares[at] += 1
    return tuple(shares)
