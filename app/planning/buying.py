"""This module calculates what to order now: whole packs for what will be short until the delivery after the
next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.planning.stock import ANY, ArticleStock, StockChange, StockShortage, packs_needed

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Purchase:
    """The packs of one colour to order, and the count of that colour that is short; for ANY, any colour will do."""

    colour: str
    short: float
    packs: int


def shortages_before(shelf: ArticleStock, first: date) -> list[StockShortage]:
    """Returns what is short up to and including the day of the first delivery, whose goods serve only later days.

    The shortage of ANY is what is still short once the named colours are bought elsewhere, because what is on its
    way for them can then serve requests that take any colour.
    """
    named = [shortage for shortage in _until(shelf, first).shortages() if shortage.colour != ANY]
    helped = _until(shelf, first, [(shortage.colour, shortage.count) for shortage in named])
    return [*named, *helped.shortages()]


def purchases_needed(shelf: ArticleStock, first: date, second: date, pack_size: float) -> list[Purchase]:
    """Returns what to order for the first delivery day so that nothing is short up to the second.

    What is short before the first delivery counts as bought elsewhere. Each colour gets the fewest packs; ANY gets
    packs only for what the rests of other packs cannot serve. Raises ValueError unless pack_size is above 0.
    """
    bought_elsewhere = [(shortage.colour, shortage.count) for shortage in shortages_before(shelf, first)]
    ahead = _until(shelf, second, bought_elsewhere)
    short = {shortage.colour: shortage.count for shortage in ahead.shortages() if shortage.colour != ANY}
    bought = {colour: packs_needed(count, pack_size) for colour, count in short.items()}
    if early := _count_of_any(_with_delivery(ahead, bought, first, pack_size).shortages(first)):
        for colour, extra in _packs_to_refill(ahead, bought, first, pack_size, early).items():
            bought[colour] = bought.get(colour, 0) + extra
            short[colour] = short.get(colour, 0.0) + min(early, extra * pack_size)
    if rest := _count_of_any(_with_delivery(ahead, bought, first, pack_size).shortages()):
        short[ANY], bought[ANY] = rest, packs_needed(rest, pack_size)
    return [Purchase(colour, short[colour], count) for colour, count in sorted(bought.items(), key=_any_last)]


def _packs_to_refill(
    ahead: ArticleStock, bought: Mapping[str, int], first: date, pack_size: float, early: float
) -> dict[str, int]:
    """Returns the extra packs by colour that make up for what requests of any colour take before the delivery.

    Such requests take from colours that are promised for later, and the extra packs fill those up again. early: the
    count that is short for them without extra packs.
    """
    enough = packs_needed(early, pack_size)

    def still_short(extra: Mapping[str, int]) -> float:
        both = {colour: bought.get(colour, 0) + extra.get(colour, 0) for colour in ahead.colours}
        return _count_of_any(_with_delivery(ahead, both, first, pack_size).shortages(first))

    extra: dict[str, int] = {}
    for colour in sorted(ahead.colours, key=lambda one: still_short({one: enough})):
        if still_short(extra):
            extra[colour] = enough
    for colour in reversed(list(extra)):
        extra[colour] = next(count for count in range(enough + 1) if not still_short({**extra, colour: count}))
    return {colour: count for colour, count in extra.items() if count}


def _until(shelf: ArticleStock, last: date, bought_elsewhere: Sequence[tuple[str, float]] = ()) -> ArticleStock:
    """Returns the shelf with only the changes up to that day, and with what is bought elsewhere already there.

    The colours of later deliveries stand on it with a count of 0, so that its colours are still told apart.
    """
    named = [(one.colour, 0.0) for one in shelf.coming]
    coming, promised = ([one for one in changes if one.day <= last] for changes in (shelf.coming, shelf.promised))
    return ArticleStock(shelf.today, [*shelf.in_stock, *named, *bought_elsewhere], coming, promised)


def _with_delivery(shelf: ArticleStock, bought: Mapping[str, int], first: date, pack_size: float) -> ArticleStock:
    """Returns the shelf with the bought packs of each colour coming the day after the first delivery day, because
    goods that come on a day serve only the days after it."""
    delivered = [StockChange(first + ONE_DAY, colour, count * pack_size) for colour, count in bought.items()]
    return ArticleStock(shelf.today, shelf.in_stock, [*shelf.coming, *delivered], shelf.promised)


def _count_of_any(shortages: Sequence[StockShortage]) -> float:
    """Returns by how many requests of any colour are short; 0 when they are not."""
    return next((shortage.count for shortage in shortages if shortage.colour == ANY), 0.0)


def _any_last(pair: tuple[str, int]) -> tuple[bool, str]:
    """Returns a sort key by colour that puts ANY last."""
    return pair[0] == ANY, pair[0]
