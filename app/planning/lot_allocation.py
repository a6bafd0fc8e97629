"""This module decides from which lots the stock for a day is taken: the oldest first, after earlier days took
theirs. Lots that are too old to be filled come last."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from app.planning.stock import ANY

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class LotStock:
    """What is left of a lot, which is stock of one colour that came in together.

    key: the caller's number for it. from_day: the first day on which it can be used. is_old: whether it is too old
    to be filled, as long as there is anything else.
    """

    key: int
    colour: str
    count: float
    from_day: date
    is_old: bool = False


def old_before(today: date, months: int) -> date:
    """Returns the day before which a lot must have come in to be old today.

    months: how many it may be kept, 1 or more. A day of the month after the 28th counts as the 28th.
    """
    year, month = divmod(today.year * 12 + today.month - 1 - months, 12)
    return date(year, month + 1, min(today.day, 28))


@dataclass(frozen=True, slots=True)
class LotDemand:
    """A count of a colour, or of ANY, that is to be taken on a day."""

    day: date
    colour: str
    count: float


@dataclass(frozen=True, slots=True)
class LotAllocation:
    """The lots from which one demand is taken.

    available: how much could serve the demand before it is taken. taken: (lot key, count) in the order in which the
    lots are used; they add up to less than the demand when stock is short.
    """

    available: float
    taken: tuple[tuple[int, float], ...]

    @property
    def count(self) -> float:
        """How many are taken, from all lots together."""
        return sum(count for _, count in self.taken)


def allocate_lots(
    lots: Sequence[LotStock], earlier: Iterable[LotDemand], wanted: LotDemand, *, by_colour: bool
) -> LotAllocation:
    """Returns from which lots the wanted demand is taken.

    The earlier demands up to its day take theirs first, day by day, a named colour before ANY. lots: in the order
    in which they are used up, the oldest first. by_colour: whether colours are told apart.
    """
    left = {one.key: max(0.0, one.count) for one in lots}
    in_turn = sorted(
        (one for one in earlier if one.day <= wanted.day), key=lambda one: (one.day, one.colour == ANY)
    )
    for one in in_turn:
        _take(lots, left, one, by_colour)
    available = sum(left[one.key] for one in _usable_lots(lots, left, wanted, by_colour))
    return LotAllocation(available, tuple(_take(lots, left, wanted, by_colour)))


def _take(
    lots: Sequence[LotStock], left: dict[int, float], wanted: LotDemand, by_colour: bool
) -> list[tuple[int, float]]:
    """Takes the demand off what is left of the lots, and returns (lot key, count) for each lot that was used."""
    taken, missing = [], wanted.count
    for one in _usable_lots(lots, left, wanted, by_colour):
        count = min(missing, left[one.key])
        if count > _ROUNDING:
            taken.append((one.key, count))
            left[one.key] -= count
            missing -= count
    return taken


def _usable_lots(
    lots: Sequence[LotStock], left: Mapping[int, float], wanted: LotDemand, by_colour: bool
) -> list[LotStock]:
    """Returns the lots that can serve the demand on its day, in the order in which they are used."""
    return lots_for_colour([one for one in lots if one.from_day <= wanted.day], left, wanted.colour, by_colour)


def lots_for_colour(
    lots: Sequence[LotStock], left: Mapping[int, float], colour: str, by_colour: bool
) -> list[LotStock]:
    """Returns the lots that can serve a colour, in the order in which they are used.

    left: how much of each lot, by its key, is still there. Old lots come last. When any colour will do, lots
    without a colour come first, then those of the colour of which most is left that is not old.
    """
    if by_colour and colour != ANY:
        return sorted((one for one in lots if one.colour == colour), key=lambda one: one.is_old)
    left_of_colour = dict.fromkeys((one.colour for one in lots), 0.0)
    for one in lots:
        left_of_colour[one.colour] += 0.0 if one.is_old else left[one.key]
    return sorted(lots, key=lambda one: (one.is_old, one.colour != ANY, -left_of_colour[one.colour]))
