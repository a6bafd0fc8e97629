"""What the shelves hold: a kind in its colours, or a supply; and what an order wants of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from app.actions.records.shop import Goods, Shop
from app.craft.colours import ANY as ANY_COLOUR
from app.planning.shoptime import local_day
from app.planning.stock import ANY
from app.quoting.parts import BatchOf, SoldLine
from app.quoting.quote import Quote
from app.quoting.request import ExtraSort, HandOver
from app.quoting.runs import BatchPlan
from app.store.search_keys import fold


@dataclass(frozen=True, slots=True, order=True)
class Article:
    """Either a kind or a supply; the other is 0."""

    kind_id: int = 0
    supply_id: int = 0

    def name(self, goods: Goods) -> str:
        return goods.kinds[self.kind_id].name if self.kind_id else goods.supplies[self.supply_id].name

    def unit(self, goods: Goods) -> str:
        return "piece" if self.kind_id else goods.supplies[self.supply_id].unit

    def pack_size(self, goods: Goods) -> float:
        return goods.kinds[self.kind_id].pack_size if self.kind_id else goods.supplies[self.supply_id].pack_size


@dataclass(frozen=True, slots=True)
class Want:
    """So much of an article that an order takes from the shelf on a day. colour: as it was said, empty for any. of:
    the balloons that it is filled with."""

    article: Article
    colour: str
    count: float
    day: date
    of: BatchOf | None = None

    @property
    def shelved_as(self) -> str:
        return shelved_as(self.colour)


def shelved_as(colour: str) -> str:
    """A colour as it is told apart on the shelf: “any colour” is none."""
    folded = fold(" ".join(colour.split()))
    return ANY if folded == ANY_COLOUR else folded


def wants_of(answer: Quote, shop: Shop) -> list[Want]:
    """What an order takes: balloons when they are filled, or leave for the venue; supplies when it leaves. Hired
    goods come back, and the customer's own balloons are theirs."""
    return [*_balloons(answer, shop), *_supplies(answer, shop)]


def wants_of_line(line: SoldLine, wants: list[Want]) -> list[Want]:
    """Those that the line has a share in."""
    colours = {(of.kind_id, shelved_as(name)) for of, shares in line.parts.items() for name in shares}
    supplies = {one.supply_id for one in line.recipe.supplies}
    return [
        want
        for want in wants
        if (want.article.kind_id, want.shelved_as) in colours or want.article.supply_id in supplies
    ]


def _balloons(answer: Quote, shop: Shop) -> Iterator[Want]:
    for plan in answer.batches:
        for colour, count in plan.fill.colours:
            article = Article(kind_id=plan.fill.of.kind_id)
            said = colour if shelved_as(colour) else ""
            yield Want(article, said, count, _taken_on(plan, answer, shop), plan.fill.of)


def _taken_on(plan: BatchPlan, answer: Quote, shop: Shop) -> date:
    at_venue = answer.wish.hand_over is HandOver.VENUE
    return local_day(answer.leaves_at if at_venue else plan.window.inflate_by, shop.zone)


def _supplies(answer: Quote, shop: Shop) -> Iterator[Want]:
    units: dict[int, float] = {}
    for line in answer.lines:
        for one in line.recipe.supplies:
            if one.sort != "hired":
                units[one.supply_id] = units.get(one.supply_id, 0.0) + one.of_one * line.wish.quantity
    for extra in answer.extras:
        if extra.wish.sort is ExtraSort.SUPPLY and extra.wish.supply_id:
            units[extra.wish.supply_id] = units.get(extra.wish.supply_id, 0.0) + extra.wish.quantity
    day = local_day(answer.leaves_at, shop.zone)
    return (Want(Article(supply_id=supply_id), "", count, day) for supply_id, count in units.items())
