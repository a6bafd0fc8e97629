"""From which lots the goods of a day are taken: the oldest first, after what earlier days take and what comes."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from app.planning.stock import ANY

_HARDLY = 1e-9


@dataclass(frozen=True, slots=True)
class LotStock:
    """Goods of a colour that came together. key: the caller's. from_day: the first day that they serve."""

    key: int
    colour: str
    count: float
    from_day: date


@dataclass(frozen=True, slots=True)
class LotDemand:
    day: date
    colour: str
    count: float


@dataclass(frozen=True, slots=True)
class LotAllocation:
    """there: what lies there that serves it, before it is taken. taken: by key, in their turn; short where that is
    less than the count."""

    there: float
    taken: tuple[tuple[int, float], ...]

    @property
    def count(self) -> float:
        return sum(count for _, count in self.taken)


def allocate_lots(
    lying: Sequence[LotStock], earlier: Iterable[LotDemand], wanted: LotDemand, *, by_colour: bool
) -> LotAllocation:
    """Each request of an earlier day takes its goods first, a named colour before any colour. lying: in the order
    in which they are used up, which is the oldest first. by_colour: whether colours are told apart."""
    left = {one.key: max(0.0, one.count) for one in lying}
    turns = sorted((one for one in earlier if one.day <= wanted.day), key=lambda one: (one.day, one.colour == ANY))
    for one in turns:
        _take(lying, left, one, by_colour)
    there = sum(left[one.key] for one in _givers_then(lying, left, wanted, by_colour))
    return LotAllocation(there, tuple(_take(lying, left, wanted, by_colour)))


def _take(
    lying: Sequence[LotStock], left: dict[int, float], wanted: LotDemand, by_colour: bool
) -> list[tuple[int, float]]:
    taken, still = [], wanted.count
    for one in _givers_then(lying, left, wanted, by_colour):
        given = min(still, left[one.key])
        if given > _HARDLY:
            taken.append((one.key, given))
            left[one.key] -= given
            still -= given
    return taken


def _givers_then(
    lying: Sequence[LotStock], left: Mapping[int, float], wanted: LotDemand, by_colour: bool
) -> list[LotStock]:
    return givers([one for one in lying if one.from_day <= wanted.day], left, wanted.colour, by_colour)


def givers(lying: Sequence[LotStock], left: Mapping[int, float], colour: str, by_colour: bool) -> list[LotStock]:
    """What serves a colour, in its turn; left: how much of each is still there. Where any colour does, packs that
    name none come first, then the colour of which most is there."""
    if by_colour and colour != ANY:
        return [one for one in lying if one.colour == colour]
    most: dict[str, float] = {}
    for one in lying:
        most[one.colour] = most.get(one.colour, 0.0) + left[one.key]
    return sorted(lying, key=lambda one: (one.colour != ANY, -most[one.colour]))
