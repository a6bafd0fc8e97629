"""What an order costs the shop, from its quote."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import timedelta

from app.craft.cost import CostLine, cost_minor, least_total
from app.craft.money import ZERO_AMOUNT
from app.craft.price import Bill
from app.quoting.bill import make_bill
from app.quoting.build_sheets.bouquets import ribbon_m
from app.quoting.build_sheets.input import BalloonGroup, colours_per_piece
from app.quoting.catalogue import Catalogue
from app.quoting.costs import FilledBalloons, ResourcesUsed, add_up, cost_lines
from app.quoting.extras import list_price
from app.quoting.journey import venue_air
from app.quoting.parts import BatchSpec, SoldLine
from app.quoting.quote import Quote
from app.quoting.recipe import construction_of
from app.quoting.rentals import take_down_trip_of
from app.quoting.request import HandOver, Occasion, Service
from app.quoting.runs import FillPlan
from app.quoting.shop import Shop


def cost_of(quote: Quote, catalogue: Catalogue, shop: Shop) -> tuple[CostLine, ...]:
    """Returns the cost, each line rounded once."""
    return cost_lines(_used(quote, shop), catalogue, shop)


def floor_total(quote: Quote, catalogue: Catalogue, shop: Shop) -> int | None:
    """Returns what the customer should pay at least, in minor units; None if the price leaves enough or no floor is
    set."""
    floor = shop.pricing.floor_percent
    if not floor:
        return None
    return least_total(quote.bill, cost_minor(cost_of(quote, catalogue, shop)), floor)


def least_to_charge(quote: Quote, catalogue: Catalogue, shop: Shop) -> int | None:
    """Returns what the customer should pay at least, in minor units, if a discount or a typed price takes the order
    below that, but never more than the list price. None if the price leaves enough, or is the list price."""
    least, listed = floor_total(quote, catalogue, shop), _at_list_prices(quote, catalogue, shop)
    if least is None or quote.bill.net_minor >= listed.net_minor:
        return None
    return min(least, listed.total_minor)


def _at_list_prices(quote: Quote, catalogue: Catalogue, shop: Shop) -> Bill:
    """Returns the bill without a discount and with the shop's own prices of extras; lines have theirs already."""
    extras = [replace(extra, unit_minor=list_price(extra, catalogue, shop)) for extra in quote.extras]
    bill = quote.bill
    return make_bill(quote.lines, extras, quote.venue_minor, ZERO_AMOUNT, quote.tax, bill.deposit, quote.rentals)


def _used(quote: Quote, shop: Shop) -> ResourcesUsed:
    """Returns what the order uses up."""
    fills = [batch.fill for batch in quote.batches]
    own = _own(quote)
    filled = tuple(
        FilledBalloons(fill.spec.balloon_type_id, fill.filling, fill.quantity + fill.spares, own.get(fill.spec, 0))
        for fill in fills
    )
    finishing = timedelta() if quote.request.occasion is Occasion.NOW else quote.finishing
    work = sum((fill.work for fill in fills), finishing)
    minutes = work.total_seconds() / 60 + _away(quote) + _taking_down(quote, shop)
    return ResourcesUsed(filled, minutes, _ribbon_m(quote, shop), add_up(_supplies(quote)))


def _own(quote: Quote) -> dict[BatchSpec, int]:
    """Returns the number of the customer's own balloons in each batch. A top-up takes seconds and very little gas,
    so it counts as no cost."""
    own: dict[BatchSpec, int] = {}
    for line in quote.lines:
        if line.request.service is Service.OWN:
            for spec, colours in line.parts.items():
                own[spec] = own.get(spec, 0) + sum(colours.values())
    return own


def _ribbon_m(quote: Quote, shop: Shop) -> float:
    """Returns the metres of ribbon."""
    air, fills = venue_air(quote.request, shop), {batch.fill.spec: batch.fill for batch in quote.batches}
    return sum(
        line.request.quantity * ribbon_m(construction_of(line.recipe), _of_line(line, fills), air, shop)
        for line in quote.lines
    )


def _of_line(line: SoldLine, fills: Mapping[BatchSpec, FillPlan]) -> list[BalloonGroup]:
    """Returns the balloons of one piece of the line."""
    return [
        BalloonGroup(
            fills[spec].filling, fills[spec].size.diameter_in, colours_per_piece(colours, line.request.quantity)
        )
        for spec, colours in line.parts.items()
    ]


def _away(quote: Quote) -> float:
    """Returns the minutes of work that a crew spends away besides filling."""
    request = quote.request
    if request.hand_over is not HandOver.VENUE:
        return 0.0
    return request.crew * (2 * request.travel_minutes + request.set_up_minutes + request.hanging_minutes)


def _taking_down(quote: Quote, shop: Shop) -> float:
    """Returns the minutes of work that a visit takes to fetch what is rented."""
    request = quote.request
    if request.take_down_at is None:
        return 0.0
    visit = take_down_trip_of(request.take_down_at, request.travel_minutes, request.crew, shop.trip)
    return visit.staff * (visit.back_at - visit.leaves_at).total_seconds() / 60


def _supplies(quote: Quote) -> Iterator[tuple[int, float]]:
    """Yields the units of each supply, by its id."""
    for line in quote.lines:
        for one in line.recipe.supplies:
            yield one.supply_id, one.of_one * line.request.quantity
    for extra in quote.extras:
        if extra.request.supply_id is not None:
            yield extra.request.supply_id, extra.request.quantity * extra.request.of_one
