"""This module calculates the chance of what the shop promises of a batch: that at least k of its n balloons are
still up.

Float times are log-normal about the median, with two scatters: one that all balloons of a batch share, from day to
day, and one from balloon to balloon. The k-th longest-lived balloon then decides. Chances hang on one number, the
budget divided by what was used of it.
"""

import math
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

_NORMAL = NormalDist()
_ROOT_OF_HALF = math.sqrt(0.5)
NODES = 40
FARTHEST = 10.0
"""So many standard deviations from the middle of a rank the integral ends: from 1 to 5,000 balloons its error is
then under 1e-9 when nine in ten are promised, and under 4e-6 when all are."""
PROMISED_SHARE = 0.9
MOST_BALLOONS = 1_000_000
MOST_PANELS = 64


@dataclass(frozen=True, slots=True)
class Promise:
    """At least this many of so many balloons are up. Creating one raises ValueError unless 1 ≤ at_least ≤ of."""

    at_least: int = 1
    of: int = 1

    def __post_init__(self) -> None:
        if not 1 <= self.at_least <= self.of <= MOST_BALLOONS:
            raise ValueError(f"{self.at_least} of {self.of} cannot be promised")


ONE_BALLOON = Promise()


def promise_of(count: int, share: float = PROMISED_SHARE) -> Promise:
    """Returns the promise for a batch of count balloons: at least this share of them, rounded up to whole balloons.

    share: above 0 and up to 1; raises ValueError otherwise. The shop's share is a setting; its default is from
    memory.
    """
    if not 0.0 < share <= 1.0:
        raise ValueError(f"a share of {share} is outside 0 to 1")
    return Promise(math.ceil(share * count - 1e-9), count) if count > 0 else ONE_BALLOON


@dataclass(frozen=True, slots=True)
class Scatter:
    """σ of the logarithm of float times. total: of one balloon on any day. of_balloons: the part of it that differs
    from balloon to balloon; the rest is from day to day, so that total² = day² + of_balloons².

    Creating one raises ValueError when either is below 0.
    """

    total: float
    of_balloons: float = 0.0

    def __post_init__(self) -> None:
        if not (self.total >= 0 and self.of_balloons >= 0):
            raise ValueError("a scatter must not be below 0")

    @property
    def day(self) -> float:
        """The part that all balloons of a batch share; 0 when they differ by as much as the total or more."""
        return math.sqrt(max(0.0, self.total**2 - self.of_balloons**2))


def chance_of(ratio: float, scatter: Scatter, promise: Promise = ONE_BALLOON) -> float:
    """Returns the chance, 0 to 1, that the promise is kept.

    ratio: the median budget divided by what was used of it; inf when nothing was used, 0 or less when the balloons
    do not rise. Without any scatter, all are up exactly while the ratio is at least 1. Source: the order statistics
    of a log-normal law; the integral by Gauss and Legendre's rule.
    """
    if ratio <= 0.0:
        return 0.0
    if math.isinf(ratio):
        return 1.0
    log, single = math.log(ratio), promise.of == 1
    day, each = (max(scatter.total, scatter.of_balloons), 0.0) if single else (scatter.day, scatter.of_balloons)
    if day == 0.0 and each == 0.0:
        return 1.0 if log >= -1e-9 else 0.0  # a sum of hours carries rounding errors
    if each == 0.0:
        return _below(log / day)
    if day == 0.0:
        return _at_least(promise, _below(log / each))
    weights, erfc = _rank_weights(promise, _panels(day / each)), math.erfc
    # Φ is written out here: it is asked for 40 times in each chance, and a board has hundreds of chances.
    below = [weight * (0.5 * erfc(-((log + each * y) / day) * _ROOT_OF_HALF)) for y, weight in weights]
    return min(1.0, math.fsum(below))


@lru_cache(4096)
def spendable_share(scatter: Scatter, certainty: float, promise: Promise = ONE_BALLOON) -> float:
    """Returns the share of the budget, 0 or more, that may be used for the promise to be kept with this certainty.

    It is rounded down at its sixth decimal, so that the certainty is never missed. Raises ValueError unless
    0 < certainty < 1. Source: `chance_of`, inverted by halving.
    """
    if not 0.0 < certainty < 1.0:
        raise ValueError(f"a certainty of {certainty} is not between 0 and 1")
    low, high = -40.0, 40.0  # of the logarithm of the ratio; the chance grows with it
    for _ in range(60):
        middle = (low + high) / 2
        if chance_of(math.exp(middle), scatter, promise) >= certainty:
            high = middle
        else:
            low = middle
    return math.floor(math.exp(-high) * 1e6) / 1e6


def _below(y: float) -> float:
    """Returns Φ(y), the share of a standard normal law below y."""
    return 0.5 * math.erfc(-y * _ROOT_OF_HALF)


def _at_least(promise: Promise, chance: float) -> float:
    """Returns the chance that at least as many as promised are up, when each is with this chance by itself."""
    if chance in (0.0, 1.0):
        return chance
    up, down, log_all = math.log(chance), math.log1p(-chance), math.lgamma(promise.of + 1)
    return min(
        1.0,
        math.fsum(
            math.exp(
                log_all
                - math.lgamma(count + 1)
                - math.lgamma(promise.of - count + 1)
                + count * up
                + (promise.of - count) * down
            )
            for count in range(promise.at_least, promise.of + 1)
        ),
    )


def _panels(steepness: float) -> int:
    """Returns into how many parts the integral is cut: one, unless the days differ much less than the balloons."""
    return max(1, min(MOST_PANELS, math.ceil(1.0 / steepness)))


@lru_cache(1024)
def _rank_weights(promise: Promise, panels: int) -> tuple[tuple[float, float], ...]:
    """Returns points y and weights, which sum to 1, of the balloon that decides: Φ(y) is its place among all."""
    rank = promise.of - promise.at_least + 1
    middle = rank / (promise.of + 1)
    centre = _NORMAL.inv_cdf(middle)
    width = FARTHEST * math.sqrt(middle * (1 - middle) / (promise.of + 2)) / _NORMAL.pdf(centre)
    low, high = max(centre - width, -FARTHEST), min(centre + width, FARTHEST)
    half = (high - low) / 2 / panels
    middles = [low + half * (2 * panel + 1) for panel in range(panels)]
    points = [(at + half * x, half * weight) for at in middles for x, weight in _legendre(NODES)]
    return tuple((y, weight * _rank_density(y, rank, promise.at_least)) for y, weight in points)


def _rank_density(y: float, a: int, b: int) -> float:
    """Returns the density of y when Φ(y) has the beta law of a and b, which is that of a rank."""
    below, above = _below(y), _below(-y)
    if below <= 0.0 or above <= 0.0:
        return 0.0
    log_beta = math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)
    return math.exp((a - 1) * math.log(below) + (b - 1) * math.log(above) - log_beta) * _NORMAL.pdf(y)


@lru_cache(1)
def _legendre(count: int) -> tuple[tuple[float, float], ...]:
    """Returns the points, from −1 to 1, and weights of Gauss and Legendre's rule, by Newton's method."""
    rule = []
    for number in range(1, count + 1):
        x = math.cos(math.pi * (number - 0.25) / (count + 0.5))
        for _ in range(20):
            before, here = 1.0, x
            for degree in range(2, count + 1):
                before, here = here, ((2 * degree - 1) * x * here - (degree - 1) * before) / degree
            slope = count * (x * here - before) / (x * x - 1)
            x -= here / slope
        rule.append((x, 2 / ((1 - x * x) * slope * slope)))
    return tuple(rule)
