"""What must be ordered now: whole packs for what is wanting until the next delivery after this one counts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.planning.stock import ANY, Change, Shelf, StockShortage, packs

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Purchase:
    """So many packs of a colour, for so much that is wanting of it; of ANY any colour does."""

    colour: str
    wanting: float
    packs: int


def wanting_before(shelf: Shelf, first: date) -> list[StockShortage]:
    """What is short up to the day of the first delivery: what comes on that day serves the days after. Of ANY what
    is still short when the named colours are helped: what comes for them meanwhile serves whoever takes any."""
    named = [lack for lack in _until(shelf, first).lacks() if lack.colour != ANY]
    helped = _until(shelf, first, [(lack.colour, lack.count) for lack in named])
    return [*named, *helped.lacks()]


def to_order(shelf: Shelf, first: date, second: date, pack_size: float) -> list[Purchase]:
    """What must come on the first day so that nothing is wanting up to the second; what is short before is taken to
    be bought elsewhere. The fewest packs of each colour, and of ANY what no rest of a pack serves. Raises
    ValueError unless a pack holds something."""
    helped = [(lack.colour, lack.count) for lack in wanting_before(shelf, first)]
    ahead = _until(shelf, second, helped)
    lacks = ahead.lacks()
    wanting = {lack.colour: lack.count for lack in lacks if lack.colour != ANY}
    bought = {colour: packs(count, pack_size) for colour, count in wanting.items()}
    if early := _of_any(_with(ahead, bought, first, pack_size).lacks(first)):
        for colour, more in _refill(ahead, bought, first, pack_size, early).items():
            bought[colour] = bought.get(colour, 0) + more
            wanting[colour] = wanting.get(colour, 0.0) + min(early, more * pack_size)
    if rest := _of_any(_with(ahead, bought, first, pack_size).lacks()):
        wanting[ANY], bought[ANY] = rest, packs(rest, pack_size)
    return [Purchase(colour, wanting[colour], count) for colour, count in sorted(bought.items(), key=_any_last)]


def _refill(ahead: Shelf, bought: Mapping[str, int], first: date, pack_size: float, early: float) -> dict[str, int]:
    """Whoever takes any colour before the delivery takes it from colours that are promised later: so many packs
    more of those fill them up again."""
    enough = packs(early, pack_size)

    def is_short(more: Mapping[str, int]) -> float:
        both = {colour: bought.get(colour, 0) + more.get(colour, 0) for colour in ahead.colours}
        left = _with(ahead, both, first, pack_size).lacks(first)
        return _of_any(left)

    more: dict[str, int] = {}
    for colour in sorted(ahead.colours, key=lambda one: is_short({one: enough})):
        if is_short(more):
            more[colour] = enough
    for colour in reversed(list(more)):
        more[colour] = next(count for count in range(enough + 1) if not is_short({**more, colour: count}))
    return {colour: count for colour, count in more.items() if count}


def _until(shelf: Shelf, last: date, more: Sequence[tuple[str, float]] = ()) -> Shelf:
    """The shelf as far as that day; colours that come later are still told apart."""
    named = [(one.colour, 0.0) for one in shelf.coming]
    coming, promised = ([one for one in changes if one.day <= last] for changes in (shelf.coming, shelf.promised))
    return Shelf(shelf.today, [*shelf.there, *named, *more], coming, promised)


def _with(shelf: Shelf, bought: Mapping[str, int], first: date, pack_size: float) -> Shelf:
    more = [Change(first + ONE_DAY, colour, count * pack_size) for colour, count in bought.items()]
    return Shelf(shelf.today, shelf.there, [*shelf.coming, *more], shelf.promised)


def _of_any(lacks: Sequence[StockShortage]) -> float:
    return next((lack.count for lack in lacks if lack.colour == ANY), 0.0)


def _any_last(pair: tuple[str, int]) -> tuple[bool, str]:
    return pair[0] == ANY, pair[0]
