"""The items to fetch on a day, for the batches to be filled and the orders that leave, and the lots to take them
from."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from app.actions.context import Context
from app.actions.stock.articles import Article, gets_old, old_lots_before
from app.actions.stock.availability import (
    ONE_DAY,
    Availability,
    StockDemand,
    balloon_demands,
    build_availability,
    supply_demands,
)
from app.planning.lot_allocation import LotAllocation, LotDemand, LotStock, allocate_lots
from app.planning.stock import ANY
from app.quoting.catalogue import Catalogue
from app.store.queries.stock import ExpectedStockRow, load_expected_stock
from app.store.queries.stock_levels import load_stock_levels
from app.store.queries.stock_pages import LotLine, load_usable_lots

MOST_COLOURS = 4


@dataclass(frozen=True, slots=True)
class FetchLot:
    """How much to take of the lot received on a day. comes: whether it is a delivery that is still on its way, due
    that day. is_old: whether it is too old to be filled, and taken because there is nothing else."""

    on: date
    colour: str
    count: float
    comes: bool
    is_old: bool


@dataclass(frozen=True, slots=True)
class FetchOrder:
    """How much an order takes. started: whether that is on the bench already."""

    number: int
    count: float
    started: bool


@dataclass(frozen=True, slots=True)
class FetchRow:
    """One article in one colour. count: for orders; spares come on top. counted: whether the shop counts the
    article; only then available and lots are known. available: how much can serve it that day, after what earlier
    days take. most_free: if any colour will do, the colours of which most is free, with how much."""

    article: Article
    colour: str
    count: float
    spares: int
    orders: tuple[FetchOrder, ...]
    counted: bool
    available: float
    lots: tuple[FetchLot, ...]
    most_free: tuple[tuple[str, float], ...]

    @property
    def wanted(self) -> float:
        """How much to fetch, spares included."""
        return self.count + self.spares

    @property
    def short(self) -> float:
        """How much is missing for orders."""
        return max(0.0, self.count - self.available) if self.counted else 0.0

    @property
    def spares_short(self) -> float:
        """How many spares are missing."""
        return max(0.0, self.wanted - self.available) - self.short if self.counted else 0.0


@dataclass(frozen=True, slots=True)
class FetchList:
    """The rows of a day, and the stock that they were calculated from."""

    rows: tuple[FetchRow, ...]
    availability: Availability


def build_fetch_list(context: Context, day: date) -> FetchList:
    """Returns what to fetch on the day. What should have been filled or have left earlier is on today's list."""
    today = context.today
    asked = [*balloon_demands(context), *supply_demands(context)]
    coming, lots = load_expected_stock(context.session, today), load_usable_lots(context.session)
    old_before = old_lots_before(context)
    availability = build_availability(today, load_stock_levels(context.session, old_before), coming, asked)
    old = {lot.id for lot in lots if _is_old(lot, old_before, context.catalogue)}
    shelf_stock = _ShelfStock(lots, coming, old)
    groups: dict[tuple[Article, str], list[StockDemand]] = {}
    for one in asked:
        if max(one.day, today) == day:
            groups.setdefault((one.article, one.colour), []).append(one)
    rows = (
        _row(of, mine, day, asked, shelf_stock, availability) for of, mine in sorted(groups.items(), key=_sort_key)
    )
    return FetchList(tuple(rows), availability)


def _sort_key(group: tuple[tuple[Article, str], list[StockDemand]]) -> tuple[bool, Article, bool, str]:
    """Returns a sort key that puts balloons before supplies, and named colours before any."""
    (article, colour), _ = group
    return not article.balloon_type_id, article, colour == ANY, colour


class _ShelfStock:
    """Lots and deliveries by article, in the order in which they are used up. old: the ids of the lots that are too
    old to be filled."""

    def __init__(self, lots: Sequence[LotLine], coming: Sequence[ExpectedStockRow], old: Collection[int]) -> None:
        self._lots, self._coming, self._old = lots, sorted(coming, key=lambda row: row.due_on), old

    def of(self, article: Article) -> list[LotStock]:
        """Returns what lots and deliveries of the article can give."""
        heaps = self._of(article)
        return [
            LotStock(key, one.colour, left, one.from_day, one.is_old)
            for key, (one, left) in enumerate(_available_counts(heaps))
        ]

    def from_lot(self, article: Article, key: int, count: float) -> FetchLot:
        """Returns so much taken from the lot or delivery with this key."""
        one = self._of(article)[key]
        return FetchLot(one.on, one.said, count, one.from_day > one.on, one.is_old)

    def _of(self, article: Article) -> list["_FetchSource"]:
        """Returns the lots of the article, then its deliveries."""
        ids = (article.balloon_type_id or None, article.supply_id or None)
        lots = (lot for lot in self._lots if (lot.balloon_type_id, lot.supply_id) == ids)
        coming = (row for row in self._coming if (row.balloon_type_id, row.supply_id) == ids)
        return [
            *(_lot_source(lot, is_old=lot.id in self._old) for lot in lots),
            *(
                _FetchSource(row.due_on, row.colour, row.colour_folded, row.pieces, row.due_on + ONE_DAY)
                for row in coming
            ),
        ]


@dataclass(frozen=True, slots=True)
class _FetchSource:
    """A lot or a delivery. from_day: the first day that it can serve; date.min for a lot."""

    on: date
    said: str
    colour: str
    count: float
    from_day: date
    is_old: bool = False


def _lot_source(lot: LotLine, *, is_old: bool) -> _FetchSource:
    """Returns what a lot can give."""
    return _FetchSource(lot.received_on, lot.colour, lot.colour_folded, lot.on_hand, date.min, is_old)


def _is_old(lot: LotLine, before: date, catalogue: Catalogue) -> bool:
    """Returns whether the lot is too old to be filled."""
    article = Article(lot.balloon_type_id or 0, lot.supply_id or 0)
    return lot.received_on < before and gets_old(article, catalogue)


def _available_counts(heaps: Sequence[_FetchSource]) -> list[tuple[_FetchSource, float]]:
    """Returns each lot or delivery with how many can be taken from it.

    A lot with a negative count was overdrawn: those balloons really came from other lots of its colour. So the
    overdraft is subtracted from the newest lot first, then from the delivery that comes first.
    """
    owed: dict[str, float] = {}
    for one in heaps:
        owed[one.colour] = owed.get(one.colour, 0.0) + max(0.0, -one.count)
    left = [max(0.0, one.count) for one in heaps]
    lot_count = sum(one.from_day == date.min for one in heaps)
    for place in (*reversed(range(lot_count)), *range(lot_count, len(heaps))):
        eaten = min(left[place], owed[heaps[place].colour])
        left[place] -= eaten
        owed[heaps[place].colour] -= eaten
    return list(zip(heaps, left, strict=True))


def _row(
    goods: tuple[Article, str],
    mine: Sequence[StockDemand],
    day: date,
    asked: Iterable[StockDemand],
    shelf_stock: _ShelfStock,
    availability: Availability,
) -> FetchRow:
    """Returns what to fetch of one article in one colour."""
    article, colour = goods
    shelf = availability.by_article.get(article)
    count, spares = sum(one.count for one in mine), sum(one.spares for one in mine)
    orders = tuple(_for(mine))
    if shelf is None:
        return FetchRow(article, colour, count, spares, orders, False, 0.0, (), ())
    before = list(_before(article, colour, day, asked, shelf.today, by_colour=shelf.by_colour))
    wanted = LotDemand(day, colour, count + spares)
    pulled = _allocate(shelf_stock.of(article), before, wanted, count, by_colour=shelf.by_colour)
    free = {one: shelf.free(one, day) for one in shelf.colours} if colour == ANY else {}
    most = sorted(((one, left) for one, left in free.items() if left), key=lambda pair: -pair[1])
    lots = tuple(shelf_stock.from_lot(article, key, taken) for key, taken in pulled.taken)
    return FetchRow(
        article, colour, count, spares, orders, True, pulled.available, lots, tuple(most[:MOST_COLOURS])
    )


def _allocate(
    lots: Sequence[LotStock], before: Sequence[LotDemand], wanted: LotDemand, count: float, *, by_colour: bool
) -> LotAllocation:
    """Returns from which lots the wanted demand is taken, from old ones only what orders lack, and no spares.

    count: how many of it are for orders.
    """
    fresh = allocate_lots([one for one in lots if not one.is_old], before, wanted, by_colour=by_colour)
    if fresh.available >= count or not any(one.is_old for one in lots):
        return fresh
    with_old = allocate_lots(lots, before, replace(wanted, count=count), by_colour=by_colour)
    return replace(with_old, available=with_old.count)


def _before(
    article: Article, colour: str, day: date, asked: Iterable[StockDemand], today: date, *, by_colour: bool
) -> Iterator[LotDemand]:
    """Yields the demands that are served before: those of earlier days, and that day those that go first."""
    for one in asked:
        on = max(one.day, today)
        is_earlier = on < day or (on == day and _goes_first(one.colour, colour, by_colour=by_colour))
        if one.article == article and is_earlier:
            yield LotDemand(on, one.colour, one.count + (one.spares if on == day else 0))


def _goes_first(one: str, colour: str, *, by_colour: bool) -> bool:
    """Returns whether demands of the colour `one` are served before those of `colour`; if lots have colours, a
    named colour goes before any."""
    if by_colour:
        return colour == ANY and one != ANY
    return (one == ANY, one) < (colour == ANY, colour)


def _for(mine: Iterable[StockDemand]) -> Iterator[FetchOrder]:
    """Yields what each order takes, in the order of their numbers."""
    of_order: dict[int, list[StockDemand]] = {}
    for one in mine:
        of_order.setdefault(one.number, []).append(one)
    for number, all_of_it in sorted(of_order.items()):
        started = all(one.started for one in all_of_it)
        yield FetchOrder(number, sum(one.count for one in all_of_it), started)
