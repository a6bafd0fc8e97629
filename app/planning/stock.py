"""This module calculates how much of one article is free on each day: what is there and comes, less what is
promised.

Stock of a named colour serves requests for that colour and requests that take any; stock whose pack names no colour
serves only requests that take any. When no pack names a colour, colours are not told apart. The result is exact:
what is free is the most that can still be promised while every promise is kept that could be kept before (tests
check it against a maximum flow).
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import accumulate

ANY = ""
"""The colour of stock whose pack names none, and of a request that takes any colour."""
_ROUNDING = 1e-9
"""A count that differs from 0 by less than this is a rounding error."""


@dataclass(frozen=True, slots=True)
class StockChange:
    """A count of one colour that comes, or is promised, on a day. What comes can be taken on the same day.

    count: 0 or more, in the article's unit.
    """

    day: date
    colour: str
    count: float


@dataclass(frozen=True, slots=True)
class StockShortage:
    """The largest count by which a colour is short, and the first day on which it is short at all."""

    colour: str
    day: date
    count: float


@dataclass(frozen=True, slots=True)
class ColourDay:
    """What comes, is promised and is free of one colour on one day."""

    day: date
    comes: float
    promised: float
    free: float


@dataclass(frozen=True)
class ArticleStock:
    """What is there, comes and is promised of one article.

    today: the first day. What was promised for an earlier day is still to be taken, and counts as of today.
    in_stock: (colour, count) of what is on hand.
    """

    today: date
    in_stock: Sequence[tuple[str, float]]
    coming: Sequence[StockChange]
    promised: Sequence[StockChange]

    @cached_property
    def by_colour(self) -> bool:
        """Whether colours are told apart, which is so when a pack that is there or comes names one."""
        return any(colour != ANY for colour, _ in self.in_stock) or any(one.colour != ANY for one in self.coming)

    @cached_property
    def colours(self) -> list[str]:
        """The named colours, sorted; none when colours are not told apart."""
        named = [colour for colour, _ in self.in_stock] + [one.colour for one in (*self.coming, *self.promised)]
        return sorted({colour for colour in named if colour != ANY}) if self.by_colour else []

    @cached_property
    def days(self) -> list[date]:
        """Today and each later day on which something comes or is promised."""
        return sorted({self.today, *(self._from(one.day) for one in (*self.coming, *self.promised))})

    def free(self, colour: str, day: date) -> float:
        """Returns the most of a colour, or of ANY, that can still be promised to be taken on that day; 0 or
        more."""
        at, for_any = bisect_right(self.days, self._from(day)) - 1, self._for_any
        colour = colour if self.by_colour else ANY
        least_later = min(for_any.left[at:])
        if colour == ANY:
            return max(0.0, least_later)
        spare = for_any.spare_of(colour)
        # Requests for any colour on earlier days may need what is spare of this colour.
        after_earlier_days = (
            max(0.0, left) - spare_then + spare[at]
            for left, spare_then in zip(for_any.left[:at], spare[:at], strict=True)
        )
        return max(0.0, min([spare[at], least_later, *after_earlier_days]))

    def shortages(self, until: date | None = None) -> list[StockShortage]:
        """Returns the worst shortage of each colour up to a day (None: of all days), that of ANY last.

        A colour is short when more of it is promised than will be there.
        """
        return list(self._shortages([day for day in self.days if until is None or day <= until]))

    def _shortages(self, days: Sequence[date]) -> Iterator[StockShortage]:
        for colour in self.colours:
            yield from _worst(colour, days, self.balance(colour))
        yield from _worst(ANY, days, self._for_any.left)

    @cached_property
    def _for_any(self) -> "_LeftForAnyColour":
        """What is left for requests that take any colour."""
        return _LeftForAnyColour(self)

    def balance(self, colour: str) -> list[float]:
        """Returns what is left of a colour at the end of each of the days when all promises are kept.

        A figure below 0 says how many are short.
        """
        at_first = sum(count for one, count in self.in_stock if one == colour)
        comes, goes = (self._counts(changes, colour) for changes in (self.coming, self.promised))
        return list(accumulate((came - went for came, went in zip(comes, goes, strict=True)), initial=at_first))[1:]

    def days_of(self, colour: str) -> list[ColourDay]:
        """Returns each of the days with what comes, is promised and is free of a colour.

        When colours are not told apart, each day counts all of the article.
        """
        colour = colour if self.by_colour else ANY
        comes, goes = (self._counts(changes, colour) for changes in (self.coming, self.promised))
        return [
            ColourDay(day, came, went, self.free(colour, day))
            for day, came, went in zip(self.days, comes, goes, strict=True)
        ]

    def on_hand(self, colour: str) -> float:
        """Returns how many of a colour are there now; of the whole article when colours are not told apart."""
        return sum(count for one, count in self.in_stock if one == colour or not self.by_colour)

    def total_promised(self, colour: str) -> float:
        """Returns how many of a colour are promised, over all days; of the whole article when colours are not told
        apart."""
        return sum(one.count for one in self.promised if one.colour == colour or not self.by_colour)

    def _from(self, day: date) -> date:
        """Returns the day from which something counts: today for what is overdue."""
        return max(day, self.today)

    def _counts(self, changes: Iterable[StockChange], colour: str) -> list[float]:
        """Returns the count of a colour on each of the days; of all colours when they are not told apart."""
        by_day: dict[date, float] = {}
        for one in changes:
            if not self.by_colour or one.colour == colour:
                day = self._from(one.day)
                by_day[day] = by_day.get(day, 0.0) + one.count
        return [by_day.get(day, 0.0) for day in self.days]


class _LeftForAnyColour:
    """What is left for requests that take any colour.

    left: at the end of each day, the stock that no named colour will need and the stock without a colour, less what
    requests of any colour took; below 0, that many are short.
    """

    def __init__(self, shelf: ArticleStock) -> None:
        self._shelf = shelf
        self._spare = {colour: self._spare_of(colour) for colour in shelf.colours}
        self.left = [
            without_colour + sum(spare[place] for spare in self._spare.values())
            for place, without_colour in enumerate(shelf.balance(ANY))
        ]

    def spare_of(self, colour: str) -> list[float]:
        """Returns, for each day, how many of a colour may be taken by then without a shortage on a later day."""
        return self._spare.get(colour) or [0.0] * len(self.left)

    def _spare_of(self, colour: str) -> list[float]:
        """Calculates the result of `spare_of` for one colour."""
        least_from_the_end = list(accumulate(reversed(self._shelf.balance(colour)), min))
        return [max(0.0, one) for one in reversed(least_from_the_end)]


def _worst(colour: str, days: Sequence[date], balance: Sequence[float]) -> Iterator[StockShortage]:
    """Yields one shortage if the balance falls below 0 within these days: its lowest figure, and the first day
    on which it is below 0."""
    within = balance[: len(days)]
    if within and min(within) < -_ROUNDING:
        first = next(day for day, one in zip(days, within, strict=True) if one < -_ROUNDING)
        yield StockShortage(colour, first, -min(within))


def packs_needed(count: float, pack_size: float) -> int:
    """Returns how many whole packs hold this count. Raises ValueError unless pack_size is above 0."""
    if pack_size <= 0:
        raise ValueError("a pack holds more than nothing")
    return int(-(-(count - _ROUNDING) // pack_size)) if count > _ROUNDING else 0
