"""This module calculates how many air-filled balloons of each size a garland of mixed sizes needs."""

import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache

from app.craft.piece import check_diameter, check_within

MOST_SIZES = 8


class Fullness(StrEnum):
    LIGHT = "light"
    MEDIUM = "medium"
    FULL = "full"


@dataclass(frozen=True, slots=True)
class Mix:
    """The sizes of a garland in inches, 3 to 40, each with its share.

    Shares need not add up to 1, so 4 : 3 : 2 will do. It is a setting; the default is from memory. Creating one
    raises ValueError for no size or more than 8, for a size that stands in it twice, and for a share that is not
    above 0.
    """

    shares: tuple[tuple[float, float], ...] = ((5.0, 0.40), (9.0, 0.20), (11.0, 0.30), (16.0, 0.10))

    def __post_init__(self) -> None:
        check_within("a number of sizes", len(self.shares), 1, MOST_SIZES)
        for size, share in self.shares:
            check_diameter(size)
            if not 0.0 < share < math.inf:
                raise ValueError(f"a share of {share:g} for {size:g}\u00a0in is not above 0")
        if len({size for size, _ in self.shares}) < len(self.shares):
            raise ValueError("a size stands in the mix twice")


@dataclass(frozen=True, slots=True)
class GarlandDefaults:
    """The shop's figures for garlands: the balloons per metre for each fullness, and the mix of sizes.

    Each is a setting; the defaults are common practice, no source. Creating one raises ValueError outside 1 to 200
    balloons per metre.
    """

    light: float = 20.0
    medium: float = 30.0
    full: float = 45.0
    mix: Mix = Mix()

    def __post_init__(self) -> None:
        for figure in (self.light, self.medium, self.full):
            check_within("a number of balloons a metre", figure, 1.0, 200.0)

    def per_metre(self, fullness: Fullness) -> float:
        """Returns the balloons per metre for this fullness."""
        return {Fullness.LIGHT: self.light, Fullness.MEDIUM: self.medium, Fullness.FULL: self.full}[fullness]


@dataclass(frozen=True, slots=True)
class Garland:
    """A garland. length_m: its length in metres. counts: (size in inches, balloons), in the order of the mix."""

    length_m: float
    counts: tuple[tuple[float, int], ...]

    @property
    def balloons(self) -> int:
        """The number of balloons of all sizes together."""
        return sum(count for _, count in self.counts)


def garland(
    length_m: float, fullness: Fullness | float = Fullness.MEDIUM, defaults: GarlandDefaults | None = None
) -> Garland:
    """Returns a garland with whole balloons of each size.

    length_m: 0.3 to 100 m. fullness: one of the names, or 1 to 200 balloons per metre. Raises ValueError outside
    these ranges. The total is rounded up and shared out by largest remainders: no size is off its share by a whole
    balloon, but when the total grows by one, a size may lose one balloon to two others. Source: Hamilton's method
    of apportionment; the balloons per metre are common practice.
    """
    check_within("a length", length_m, 0.3, 100.0, "m")
    figures = defaults or GarlandDefaults()
    per_metre = figures.per_metre(fullness) if isinstance(fullness, Fullness) else fullness
    check_within("a number of balloons a metre", per_metre, 1.0, 200.0)
    total = math.ceil(length_m * per_metre - 1e-9)
    sizes, shares = zip(*figures.mix.shares, strict=True)
    return Garland(length_m, tuple(zip(sizes, largest_remainders(total, shares), strict=True)))


@lru_cache(1024)
def largest_remainders(total: int, shares: tuple[float, ...]) -> tuple[int, ...]:
    """Returns whole numbers in the ratio of the shares that add up to the total; of equal remainders, the first
    gains.

    total: 0 or more. shares: 0 or more and not all 0. Source: Hamilton's method of apportionment.
    """
    exact = [Fraction(share) for share in shares]
    quotas = [total * share / sum(exact) for share in exact]
    whole = [math.floor(quota) for quota in quotas]
    by_rest = sorted(range(len(quotas)), key=lambda place: whole[place] - quotas[place])
    gaining = set(by_rest[: total - sum(whole)])
    return tuple(count + (place in gaining) for place, count in enumerate(whole))
