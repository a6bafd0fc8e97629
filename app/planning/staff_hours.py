"""This module adds up the hours of all staff on a bench."""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass

from app.planning.flow import Bench


@dataclass(frozen=True, slots=True)
class StaffHours:
    """The pieces of time in which somebody works, in seconds since 1970: their starts, their ends, the number of
    hands, and the hand-seconds that are worked before each."""

    starts: list[int]
    ends: list[int]
    hands: list[int]
    before: list[int]

    @classmethod
    def of(cls, bench: Bench) -> "StaffHours":
        """Returns the hours of all staff on a bench."""
        worked = (bench.ends - bench.starts) * bench.hands
        columns = (bench.starts, bench.ends, bench.hands, worked.cumsum() - worked)
        return cls(*(column.tolist() for column in columns))

    def until(self, second: int) -> int:
        """Returns the hand-seconds that are worked before a second."""
        piece = bisect_right(self.starts, second) - 1
        return self._within(piece, second) if piece >= 0 else 0

    def after(self, second: int, work: float) -> int:
        """Returns the first second by which all staff, from another one on, can have done so many hand-seconds;
        that other one when there is no work, or never time enough for it."""
        wanted = self.until(second) - int(-work // 1)
        piece = bisect_left(self.before, wanted) - 1
        if work <= 0 or piece < 0 or wanted > self._within(-1, self.ends[-1]):
            return second
        return max(second, self.starts[piece] - (self.before[piece] - wanted) // self.hands[piece])

    def latest(self, end: int, work: int) -> int:
        """Returns the latest second at which all staff must start to have done so many hand-seconds by the end; the
        end itself when there are too few before it."""
        wanted = self.until(end) - work
        piece = min(bisect_right(self.before, wanted), bisect_right(self.starts, end)) - 1
        if wanted < 0 or piece < 0:
            return end
        return self.starts[piece] + (wanted - self.before[piece]) // self.hands[piece]

    def _within(self, piece: int, second: int) -> int:
        """Returns the hand-seconds that are worked before a second of a piece, or of the time after it."""
        return self.before[piece] + self.hands[piece] * (min(second, self.ends[piece]) - self.starts[piece])
