"""What an order costs the shop, from its quote."""

from collections.abc import Iterator

from app.actions.costs import Filled, Used, add_up, cost_lines
from app.actions.quote import Quote
from app.actions.shop import Goods, Shop
from app.actions.wish import HandOver
from app.craft.cost import CostLine, cost_minor, least_total
from app.physics.balloon import Gas


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
    filled = tuple(Filled(fill.of.kind_id, fill.filling, fill.quantity + fill.spares) for fill in fills)
    up = sum(fill.quantity for fill in fills if fill.of.gas is Gas.HELIUM)
    work = sum((fill.work for fill in fills), answer.tail)
    minutes = work.total_seconds() / 60 + _away(answer)
    return Used(filled, minutes, up * shop.till.ribbon_m, add_up(_supplies(answer)))


def _away(answer: Quote) -> float:
    """Minutes of hands that a crew spends beside its filling."""
    wish = answer.wish
    if wish.hand_over is not HandOver.VENUE:
        return 0.0
    return wish.crew * (2 * wish.travel_minutes + wish.set_up_minutes + wish.hanging_minutes)


def _supplies(answer: Quote) -> Iterator[tuple[int, float]]:
    for line in answer.lines:
        for one in line.recipe.supplies:
            yield one.supply_id, one.of_one * line.wish.quantity
    for extra in answer.extras:
        if extra.wish.supply_id is not None:
            yield extra.wish.supply_id, extra.wish.quantity
