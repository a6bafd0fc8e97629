"""What an order wants and the shelves do not have: told while the caller waits, and taken only with a reason."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy.orm import Session

from app.actions.quote import Quote
from app.actions.shop import Goods, Shop
from app.actions.stock.articles import Article, Want, wants_of
from app.actions.stock.shelves import Shelves, load_shelves
from app.planning.stock import Change, Shelf
from app.store.queries.stock import DrawnRow, drawn_for

_HARDLY = 1e-9
DrawnKey = tuple[int, str, bool, str]
"""Kind, gas, treated, and the colour as it is told apart."""


@dataclass(frozen=True, slots=True)
class Short:
    """count: how many are wanting of those wanted. there_from: the first day on which they would be there, None
    where nothing is on its way."""

    want: Want
    count: float
    there_from: date | None

    @property
    def free(self) -> float:
        return self.want.count - self.count


@dataclass(frozen=True, slots=True)
class Stock:
    """What the shelves say to an order. wants: of counted articles only. before: the shelves without it."""

    wants: tuple[Want, ...]
    shorts: tuple[Short, ...]
    before: Shelves

    @property
    def is_counted(self) -> bool:
        return bool(self.wants)

    def stays_free(self, want: Want) -> float:
        """Of one that is not short: how many are free beside all that the order wants of it."""
        mine = [one for one in self.wants if one.article == want.article]
        shelf = self.before.by_article[want.article]
        return _with(shelf, [_promise(one) for one in mine]).free(want.shelved_as, want.day)


def ask_shelves(
    session: Session, answer: Quote, shop: Shop, goods: Goods, now: datetime, but: int | None = None
) -> Stock:
    """but: the number of the order, where it is kept already and asked about anew."""
    wants = wants_of(answer, shop)
    shelves = load_shelves(session, shop, goods, now, {want.article for want in wants}, but)
    counted = [want for want in wants if want.article in shelves.by_article]
    if but and counted:
        counted = list(_still_to_take(counted, drawn_for(session, but)))
    return Stock(tuple(counted), tuple(what_is_short(counted, shelves)), shelves)


def _still_to_take(wants: list[Want], drawn: list[DrawnRow]) -> Iterator[Want]:
    """Of what was filled already nothing is taken again: first by its colour, then of any colour."""
    left = {(row.kind_id, row.gas, row.treated, row.colour_folded): row.count for row in drawn}
    for by_colour in (True, False):
        wants = [_less(want, left, by_colour) for want in wants]
    return iter(wants)


def _less(want: Want, left: dict[DrawnKey, float], by_colour: bool) -> Want:
    count = want.count
    for key, drawn in left.items():
        if _is_of(want, key, by_colour):
            taken = min(count, drawn)
            count, left[key] = count - taken, drawn - taken
    return replace(want, count=count)


def _is_of(want: Want, key: DrawnKey, by_colour: bool) -> bool:
    of = want.of
    if of is None or (of.kind_id, of.gas, of.treated) != key[:3]:
        return False
    return want.shelved_as == key[3] or not by_colour


def what_is_short(wants: list[Want], shelves: Shelves) -> Iterator[Short]:
    """One want after another, each beside those before it."""
    promised: dict[Article, list[Change]] = {}
    for want in wants:
        shelf = shelves.by_article[want.article]
        mine = promised.setdefault(want.article, [])
        beside = _with(shelf, mine)
        free = beside.free(want.shelved_as, want.day)
        if want.count > free + _HARDLY:
            yield Short(want, want.count - free, _there_from(want, beside))
        mine.append(_promise(want))


def _promise(want: Want) -> Change:
    return Change(want.day, want.shelved_as, want.count)


def _with(shelf: Shelf, promised: Sequence[Change]) -> Shelf:
    return Shelf(shelf.today, shelf.there, shelf.coming, [*shelf.promised, *promised])


def _there_from(want: Want, shelf: Shelf) -> date | None:
    later = (day for day in shelf.days if day > want.day)
    return next((day for day in later if shelf.free(want.shelved_as, day) + _HARDLY >= want.count), None)
