"""How sure a share is of few cases, and how much of a difference between two periods is more than chance.

Source: E. B. Wilson, Probable inference, the law of succession, and statistical inference, Journal of the American
Statistical Association 22 (1927), for the interval of a share; the counts of orders are taken as Poisson counts.
"""

import math
from dataclasses import dataclass

SURE = 1.96
"""Standard deviations that chance alone passes 1 time in 20."""
LEAST_CHANGE = 0.1
"""A figure that differs by less than this share of what it was has not changed, however sure that is. Chosen, no
source."""

LEAST_CASES = 20
"""A share of fewer, now or before, does not change. Chosen, no source."""


def surely_at_least(hits: int, of: int) -> float:
    """Returns the share that so many of so many surely are at least: the lower end of Wilson's 95% interval; 0 of
    none."""
    if not of:
        return 0.0
    share, weight = hits / of, SURE * SURE / of
    spread = SURE * math.sqrt((share * (1 - share) + weight / 4) / of)
    return max(0.0, (share + weight / 2 - spread) / (1 + weight))


@dataclass(frozen=True, slots=True)
class Change:
    """A figure now and before. strength: how many standard deviations of chance they are apart; below 0, it
    fell."""

    now: float
    before: float
    strength: float

    @property
    def is_one(self) -> bool:
        """Whether it is more than chance, and at least a tenth of what it was."""
        far = abs(self.now - self.before) >= LEAST_CHANGE * abs(self.before)
        return abs(self.strength) >= SURE and far


def change_of_sum(now: float, before: float, squares: float) -> Change:
    """Returns the change of a sum over orders. squares: the sum of the squares of all that was added up, now and
    before; for a count it is both counts together."""
    return Change(now, before, (now - before) / math.sqrt(squares) if squares else 0.0)


def change_of_share(now: tuple[int, int], before: tuple[int, int]) -> Change:
    """Returns the change of a share, each as so many of so many. With few cases on either side nothing
    changed."""
    (hits, of), (hits_before, of_before) = now, before
    if min(of, of_before) < LEAST_CASES:
        return Change(0.0, 0.0, 0.0)
    both = (hits + hits_before) / (of + of_before)
    spread = math.sqrt(both * (1 - both) * (1 / of + 1 / of_before))
    share, share_before = hits / of, hits_before / of_before
    return Change(share, share_before, (share - share_before) / spread if spread else 0.0)
