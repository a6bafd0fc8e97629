"""What is free of one kind of goods, day by day: what lies there and comes, less what is promised.

Goods of a named colour serve that colour, and whoever takes any; goods whose pack names none serve only those who
take any. Where no colour is told apart, all is one heap. Exact: what may be promised anew is the most that leaves
every promise kept that could be kept before (tests check it against a maximum flow).
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import accumulate

ANY = ""
"""The colour of what names none, and of a request that takes any."""
_HARDLY = 1e-9


@dataclass(frozen=True, slots=True)
class Change:
    """So many of a colour that come, or are promised, on a day: what comes serves what is taken that day. count: in
    pieces or another unit, from 0."""

    day: date
    colour: str
    count: float


@dataclass(frozen=True, slots=True)
class StockShortage:
    """So many of a colour are wanting at the worst, from that day on."""

    colour: str
    day: date
    count: float


@dataclass(frozen=True, slots=True)
class DayOf:
    """One day of a colour: what comes and is promised then, and what is free to be promised for it."""

    day: date
    comes: float
    promised: float
    free: float


@dataclass(frozen=True)
class Shelf:
    """today: what is there counts from then on, and what was promised for earlier is still to be taken."""

    today: date
    there: Sequence[tuple[str, float]]
    coming: Sequence[Change]
    promised: Sequence[Change]

    @cached_property
    def by_colour(self) -> bool:
        """Whether colours are told apart: a pack names one."""
        return any(colour != ANY for colour, _ in self.there) or any(one.colour != ANY for one in self.coming)

    @cached_property
    def colours(self) -> list[str]:
        """Those named, if they are told apart."""
        named = [colour for colour, _ in self.there] + [one.colour for one in (*self.coming, *self.promised)]
        return sorted({colour for colour in named if colour != ANY}) if self.by_colour else []

    @cached_property
    def days(self) -> list[date]:
        return sorted({self.today, *(self._from(one.day) for one in (*self.coming, *self.promised))})

    def free(self, colour: str, day: date) -> float:
        """The most that can be promised anew of a colour, or of ANY, to be taken on that day; from 0."""
        at, heap = bisect_right(self.days, self._from(day)) - 1, self._heap
        colour = colour if self.by_colour else ANY
        ahead = min(heap.left[at:])
        if colour == ANY:
            return max(0.0, ahead)
        spare = heap.spare_of(colour)
        behind = (max(0.0, left) - had + spare[at] for left, had in zip(heap.left[:at], spare[:at], strict=True))
        return max(0.0, min([spare[at], ahead, *behind]))

    def lacks(self, until: date | None = None) -> list[StockShortage]:
        """What is promised and will not be there by then, or ever; the worst of each colour, ANY last."""
        return list(self._lacks([day for day in self.days if until is None or day <= until]))

    def _lacks(self, days: Sequence[date]) -> Iterator[StockShortage]:
        for colour in self.colours:
            yield from _worst(colour, days, self.balance(colour))
        yield from _worst(ANY, days, self._heap.left)

    @cached_property
    def _heap(self) -> "_ColourHeap":
        return _ColourHeap(self)

    def balance(self, colour: str) -> list[float]:
        """What lies there of a colour at the end of each day, every promise kept; below 0 so many are short."""
        lies = sum(count for one, count in self.there if one == colour)
        comes, goes = (self._counts(changes, colour) for changes in (self.coming, self.promised))
        return list(accumulate((came - went for came, went in zip(comes, goes, strict=True)), initial=lies))[1:]

    def days_of(self, colour: str) -> list[DayOf]:
        """Day by day; of ANY all colours together."""
        colour = colour if self.by_colour else ANY
        comes, goes = (self._counts(changes, colour) for changes in (self.coming, self.promised))
        return [
            DayOf(day, came, went, self.free(colour, day))
            for day, came, went in zip(self.days, comes, goes, strict=True)
        ]

    def on_hand(self, colour: str) -> float:
        return sum(count for one, count in self.there if one == colour or not self.by_colour)

    def promised_in_all(self, colour: str) -> float:
        return sum(one.count for one in self.promised if one.colour == colour or not self.by_colour)

    def _from(self, day: date) -> date:
        return max(day, self.today)

    def _counts(self, changes: Iterable[Change], colour: str) -> list[float]:
        """How much on each day; where colours are not told apart all of it is of ANY."""
        by_day: dict[date, float] = {}
        for one in changes:
            if not self.by_colour or one.colour == colour:
                day = self._from(one.day)
                by_day[day] = by_day.get(day, 0.0) + one.count
        return [by_day.get(day, 0.0) for day in self.days]


class _ColourHeap:
    """left: at the end of each day, for those who take any colour: what no colour will need, what names none, less
    what such requests took; below 0 so many are short."""

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        self._spare = {colour: self._spare_of(colour) for colour in shelf.colours}
        self.left = [
            plain + sum(spare[place] for spare in self._spare.values())
            for place, plain in enumerate(shelf.balance(ANY))
        ]

    def spare_of(self, colour: str) -> list[float]:
        """What may be taken of a colour by each day without want on a later one."""
        return self._spare.get(colour) or [0.0] * len(self.left)

    def _spare_of(self, colour: str) -> list[float]:
        least = list(accumulate(reversed(self._shelf.balance(colour)), min))
        return [max(0.0, one) for one in reversed(least)]


def _worst(colour: str, days: Sequence[date], balance: Sequence[float]) -> Iterator[StockShortage]:
    """Where the balance is lowest within these first days, if it is below 0; told from the first day below 0."""
    within = balance[: len(days)]
    if within and min(within) < -_HARDLY:
        first = next(day for day, one in zip(days, within, strict=True) if one < -_HARDLY)
        yield StockShortage(colour, first, -min(within))


def packs(count: float, pack_size: float) -> int:
    """Whole packs that hold so many. Raises ValueError unless a pack holds something."""
    if pack_size <= 0:
        raise ValueError("a pack holds more than nothing")
    return int(-(-(count - _HARDLY) // pack_size)) if count > _HARDLY else 0
