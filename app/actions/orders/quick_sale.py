"""Quick sales: taken, filled and handed over in one press, and undone if they were a mistake."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import time

from sqlalchemy import select

from app.actions.bench.taps import Press, tap_batch, update_batch_progress
from app.actions.context import Context
from app.actions.orders.hand_over import save_step
from app.actions.orders.take import take_order
from app.actions.records.orders import load_order, next_version, order_with_key
from app.actions.records.sold_rows import rebuild_line
from app.actions.records.taps import is_known, mark_undone
from app.actions.stock.consumption import consume_supplies
from app.craft.price import Bill, BillItem, Tax
from app.physics.balloon import Gas
from app.physics.float_time import float_time
from app.planning.opening import Opening
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.errors import Problem, Refused
from app.quoting.parts import sell
from app.quoting.quote import Commitments
from app.quoting.request import OVER_THE_COUNTER, LineRequest, Occasion, OrderRequest, Service
from app.quoting.shop import Shop
from app.quoting.states import HandOverStep, OrderState, TapAction
from app.store.models import Order, Tap

SALE_UNDONE = "Quick sale {number} was undone. Choose again to sell it."
NOT_A_QUICK_SALE = "Order {number} is not a quick sale. Cancel it on its own page."
ROUND_THE_CLOCK = dict.fromkeys(range(7), (time(0), time(0)))


@dataclass(frozen=True, slots=True)
class QuickSaleOffer:
    """What a quick sale offers, per piece. hours: median float time with helium in the shop; 0 with air."""

    request: LineRequest
    balloon_type: BalloonOffer
    title: str
    unit_minor: int
    hours: float

    def times(self, quantity: int) -> LineRequest:
        """Returns a line with so many of it."""
        return replace(self.request, quantity=quantity)

    def total_minor(self, quantity: int, tax: Tax) -> int:
        """Returns what the customer pays for so many."""
        return Bill((BillItem(self.title, quantity, self.unit_minor),), tax=tax).total_minor


def offers(shop: Shop, catalogue: Catalogue) -> list[QuickSaleOffer]:
    """Returns each balloon type, with helium if it rises, else with air; filling the customer's own foils and
    top-ups if they have a price."""
    return [offer for row in catalogue.offered_types for offer in _offers_of(row, shop, catalogue)]


def _offers_of(row: BalloonOffer, shop: Shop, catalogue: Catalogue) -> Iterator[QuickSaleOffer]:
    """Yields the offers of one balloon type."""
    hours = float_time(row.balloon_type, shop.air, shop.float_defaults).hours
    for service in Service:
        for gas in Gas if service is Service.SOLD else (Gas.HELIUM,):
            if gas is Gas.HELIUM and not hours:
                continue
            request = LineRequest(row.id, None, 1, gas=gas, service=service)
            try:
                sold = sell(request, 0, catalogue, shop)
            except Refused:
                continue
            yield QuickSaleOffer(request, row, sold.title, sold.unit_minor, hours if gas is Gas.HELIUM else 0.0)


def make_quick_sale(context: Context, line: LineRequest, client_key: str) -> Order:
    """Saves the sale as an order that is handed over already, at any hour of the day, and returns it.

    A second call with the same key returns the first order. Raises Refused.
    """
    if known := order_with_key(context.session, client_key):
        _refuse_other(known, line)
        return known
    if line.treated:
        raise Refused(Problem("treated", "Treated balloons must dry for hours. Save a new order for them."))
    request = OrderRequest(OVER_THE_COUNTER, "", Occasion.NOW, (line,), ready_by=context.now)
    filled = Commitments(started=dict.fromkeys(sell(line, 0, context.catalogue, context.shop).parts, context.now))
    always_open = replace(context.shop, opening=Opening(context.shop.zone, ROUND_THE_CLOCK))
    order = take_order(
        replace(context, shop=always_open),
        request,
        client_key,
        filled,
    )
    for batch in order.batches:
        tap_batch(context, batch.key, Press(TapAction.FINISH, f"{client_key} {batch.key}", sure=True))
    handed = f"{client_key} handed over"
    if not is_known(context.session, handed):
        save_step(context, order, HandOverStep.HANDED_OVER, handed)
    context.session.flush()
    return order


def _refuse_other(known: Order, line: LineRequest) -> None:
    """Raises Refused if the sale is not the one saved before. The same press sent twice is one sale; the same page
    with other contents is a mistake."""
    if not known.is_quick_sale or [rebuild_line(row) for row in known.lines] != [line]:
        sentence = f"This page already sold something else, as order {known.number}. Choose again."
        raise Refused(Problem("order", sentence))
    if known.state == OrderState.CANCELLED:
        raise Refused(Problem("order", SALE_UNDONE.format(number=known.number)))


def undo_quick_sale(context: Context, number: int) -> Order:
    """Undoes a sale: it is cancelled, and what it used is in stock again. A second press changes nothing.

    Raises NotFound, Refused.
    """
    order = load_order(context.session, number, to_change=True)
    if not order.is_quick_sale:
        raise Refused(Problem("order", NOT_A_QUICK_SALE.format(number=number)))
    if order.state == OrderState.CANCELLED:
        return order
    for tap in context.session.scalars(select(Tap).where(Tap.order_id == order.id, Tap.undone_at.is_(None))):
        mark_undone(context, tap)
    for batch in order.batches:
        update_batch_progress(context, batch)
    order.state = OrderState.CANCELLED
    consume_supplies(context, order)
    next_version(context, order, "sale undone", [])
    context.session.flush()
    return order
