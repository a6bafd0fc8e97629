"""Money as whole minor units of the shop's currency, and the only rounding that it knows.

Percents are Decimals, as the shop writes them: 20, 8.875 and 8.1875 are all exact, where binary floats are not and
thousandths would lose the last one. They are multiplied as Fractions, so nothing is rounded before the line.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

HUNDRED = Decimal(100)


def half_up(minor: Fraction) -> int:
    """To whole minor units; a half goes away from zero, so that what is given back mirrors what was taken."""
    size = math.floor(abs(minor) + Fraction(1, 2))
    return size if minor >= 0 else -size


def exact(number: float) -> Decimal:
    """The number that somebody wrote, from the float that a setting or a measure became: its shortest decimal.

    Raises ValueError when it is not finite.
    """
    if not math.isfinite(number):
        raise ValueError(f"{number} is no number to reckon with")
    return Decimal(repr(float(number)))


def hundredths(percent: Decimal, most: Decimal | None = HUNDRED) -> Fraction:
    """A percent as a share of one. Raises ValueError below 0 or above most, TypeError for what is no Decimal."""
    if not isinstance(percent, Decimal):
        raise TypeError(f"{percent!r} percent: give exact() of it, a float is not exact")
    if not percent.is_finite() or percent < 0 or (most is not None and percent > most):
        raise ValueError(f"{percent} % lies outside 0 to {most if most is not None else 'any size'}")
    return Fraction(percent) / 100


def written(minor: int, decimals: int, symbol: str = "") -> str:
    """“−£1,234.50”, from minor units, of which 10 to the power of decimals are one of the currency."""
    whole, rest = divmod(abs(minor), 10**decimals)
    cents = f".{rest:0{decimals}d}" if decimals else ""
    return f"{'−' if minor < 0 else ''}{symbol}{whole:,}{cents}"


@dataclass(frozen=True, slots=True)
class Percent:
    """So much of each hundred, 0 to 100, half up. Raises ValueError outside."""

    percent: Decimal

    def __post_init__(self) -> None:
        hundredths(self.percent)

    def of(self, minor: int) -> int:
        return half_up(minor * hundredths(self.percent))


@dataclass(frozen=True, slots=True)
class Amount:
    """So many minor units, but never more than there is. Raises ValueError when negative."""

    minor: int

    def __post_init__(self) -> None:
        if self.minor < 0:
            raise ValueError(f"{self.minor}: an amount cannot be negative")

    def of(self, minor: int) -> int:
        return min(self.minor, minor)


Portion = Percent | Amount
NOTHING = Amount(0)


def typed_amount(minor: int, decimals: int) -> str:
    """Minor units as a person types them, without the currency: “12.50”."""
    return f"{minor / 10**decimals:.{decimals}f}"


def typed_percent(percent: Decimal) -> str:
    """As a person types it, without idle noughts: “8.5 %”."""
    return f"{percent.normalize():f} %"


def share_out(minor: int, sizes: Sequence[int]) -> tuple[int, ...]:
    """Splits minor in proportion to the sizes, by largest remainder; ties go to the earlier.

    The shares add up to minor exactly, and none is larger than its size. Raises ValueError when a size is negative,
    or minor does not lie between 0 and the sum of the sizes.
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
