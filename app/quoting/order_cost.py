"""What an order costs the shop, from its quote."""

from collections.abc import Iterator, Mapping
from datetime import timedelta

from app.actions.records.shop import Goods, Shop
from app.craft.cost import CostLine, cost_minor, least_total
from app.quoting.build_sheets.bouquets import ribbon_m
from app.quoting.build_sheets.input import Alike, of_one
from app.quoting.costs import Filled, Used, add_up, cost_lines
from app.quoting.journey import venue_air
from app.quoting.parts import BatchOf, SoldLine
from app.quoting.quote import Quote
from app.quoting.recipe import form_of
from app.quoting.request import HandOver, Occasion, Service
from app.quoting.runs import Fill
from app.quoting.take_down_trips import visit_of


def cost_of(answer: Quote, goods: Goods, shop: Shop) -> tuple[CostLine, ...]:
    """Each line rounded once."""
    return cost_lines(_used(answer, shop), goods, shop)


def floor_total(answer: Quote, goods: Goods, shop: Shop) -> int | None:
    """What the customer should pay at least, minor units; None where the price leaves enough or no floor is set."""
    floor = shop.till.floor_percent
    if not floor:
        return None
    return least_total(answer.bill, cost_minor(cost_of(answer, goods, shop)), floor)


def _used(answer: Quote, shop: Shop) -> Used:
    fills = [batch.fill for batch in answer.batches]
    own = _own(answer)
    filled = tuple(
        Filled(fill.of.kind_id, fill.filling, fill.quantity + fill.spares, own.get(fill.of, 0)) for fill in fills
    )
    tail = timedelta() if answer.wish.occasion is Occasion.NOW else answer.tail
    work = sum((fill.work for fill in fills), tail)
    minutes = work.total_seconds() / 60 + _away(answer) + _taking_down(answer, shop)
    return Used(filled, minutes, _ribbon_m(answer, shop), add_up(_supplies(answer)))


def _own(answer: Quote) -> dict[BatchOf, int]:
    """The customer's own balloons in each batch. A top-up takes seconds and a breath of gas: it costs nothing."""
    own: dict[BatchOf, int] = {}
    for line in answer.lines:
        if line.wish.service is Service.OWN:
            for of, colours in line.parts.items():
                own[of] = own.get(of, 0) + sum(colours.values())
    return own


def _ribbon_m(answer: Quote, shop: Shop) -> float:
    there, fills = venue_air(answer.wish, shop), {batch.fill.of: batch.fill for batch in answer.batches}
    return sum(
        line.wish.quantity * ribbon_m(form_of(line.recipe), _of_line(line, fills), there, shop)
        for line in answer.lines
    )


def _of_line(line: SoldLine, fills: Mapping[BatchOf, Fill]) -> list[Alike]:
    """The balloons of one of it."""
    return [
        Alike(fills[of].filling, fills[of].size.diameter_in, of_one(colours, line.wish.quantity))
        for of, colours in line.parts.items()
    ]


def _away(answer: Quote) -> float:
    """Minutes of hands that a crew spends beside its filling."""
    wish = answer.wish
    if wish.hand_over is not HandOver.VENUE:
        return 0.0
    return wish.crew * (2 * wish.travel_minutes + wish.set_up_minutes + wish.hanging_minutes)


def _taking_down(answer: Quote, shop: Shop) -> float:
    """Minutes of hands that a visit takes to fetch what is hired."""
    wish = answer.wish
    if wish.take_down_at is None:
        return 0.0
    visit = visit_of(wish.take_down_at, wish.travel_minutes, wish.crew, shop.trip)
    return visit.hands * (visit.back_at - visit.leaves_at).total_seconds() / 60


def _supplies(answer: Quote) -> Iterator[tuple[int, float]]:
    for line in answer.lines:
        for one in line.recipe.supplies:
            yield one.supply_id, one.of_one * line.wish.quantity
    for extra in answer.extras:
        if extra.wish.supply_id is not None:
            yield extra.wish.supply_id, extra.wish.quantity
