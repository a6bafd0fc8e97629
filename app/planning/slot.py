"""This module has the pieces of a kept flow: a piece of time with the work in it, and the work on a batch."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from app.planning.flow import HANDS_ONLY

NO_LIMIT = 1 << 60
Name = int | str


@dataclass(slots=True, eq=False)
class Slot:
    """A piece of time in which nothing changes, and the work in it.

    hands, points: how many are there; points by gas. free, free_of: the hand-seconds that are left, of the hands
    and by gas, with no limit for `HANDS_ONLY`. users: the hand-seconds given to each batch.
    """

    start: int
    end: int
    hands: int
    points: list[int]
    free: int = 0
    free_of: list[int] = field(default_factory=list)
    users: dict[Name, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Makes all of it free."""
        length = self.end - self.start
        self.free, self.free_of = self.hands * length, [*(number * length for number in self.points), NO_LIMIT]

    def copy(self) -> "Slot":
        """Returns the same slot, which changes on its own."""
        other = Slot.__new__(Slot)
        other.start, other.end, other.hands, other.points = self.start, self.end, self.hands, self.points
        other.free, other.free_of, other.users = self.free, [*self.free_of], {**self.users}
        return other

    def usable(self, gases: Iterable[int]) -> int:
        """Returns how many hands these gases can employ at once."""
        return self.hands if HANDS_ONLY in gases else min(self.hands, sum(self.points[gas] for gas in gases))

    def give(self, batch: Name, gas: int, seconds: int) -> None:
        """Gives a batch so many hand-seconds."""
        self.users[batch] = self.users.get(batch, 0) + seconds
        self.free -= seconds
        self.free_of[gas] -= seconds

    def take(self, batch: Name, gas: int, seconds: int) -> None:
        """Takes so many hand-seconds from a batch."""
        self.users[batch] -= seconds
        if not self.users[batch]:
            del self.users[batch]
        self.free += seconds
        self.free_of[gas] += seconds


@dataclass(slots=True)
class FlowJob:
    """The work on a batch between two seconds. left: the hand-seconds that have no place yet."""

    gas: int
    begin: int
    end: int
    left: int

    def copy(self) -> "FlowJob":
        """Returns the same job, which changes on its own."""
        return FlowJob(gas=self.gas, begin=self.begin, end=self.end, left=self.left)
