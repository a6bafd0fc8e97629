"""This module lives each typical order once, by the actions that people's presses call. Nothing of it stays in the
database."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from app.actions.bench.leftovers import mark_as_not_made
from app.actions.bench.taps import Press, tap_batch
from app.actions.context import Context
from app.actions.money.payments import PaymentInput, add_payment
from app.actions.orders.cancel import Cancellation, cancel_order
from app.actions.orders.hand_over import take_step
from app.actions.orders.quick_sale import make_quick_sale
from app.actions.orders.take import take_order
from app.actions.records.rebuild_request import rebuild_request
from app.actions.rentals.returns import cut_and_bin, return_all
from app.actions.stock.articles import Article
from app.actions.stock.lots import Arrival, receive
from app.craft.money import Percent
from app.demo.orders import build_demo_request, simulate_order
from app.demo.stock import LOTS, article_named
from app.demo.year.records import Lived, keep
from app.demo.year.typical import Course, Ending, Pays, Typical
from app.physics.balloon import Gas
from app.quoting.quote import Quote, make_quote
from app.quoting.request import LineRequest, OrderRequest
from app.quoting.states import HandOverStep, PaymentDirection, PaymentMethod, TapAction
from app.store.models import Order, OrderBatch

PLENTY = 100_000.0
FEE = Percent(Decimal(30))
"""What the shop keeps of the price when a customer cancels."""
ACCOUNT_TIME = timedelta(days=14)


class Rehearsal:
    """Lives orders in a shop that has plenty of everything. All is undone when the block ends that it opens."""

    def __init__(self, context: Context) -> None:
        self._context = context
        self._stocked: set[tuple[Article, str]] = set()
        self._savepoint = context.session.begin_nested()
        self._count = 0
        self._counted = {article_named(context.catalogue, name) for name, *_ in LOTS}
        for article in self._counted:
            if article.supply_id:
                self._put_in_stock(article, "")

    def end(self) -> None:
        """Undoes all that was lived."""
        self._savepoint.rollback()
        self._context.session.expire_all()

    def live(self, typical: Typical, way: Course) -> Lived:
        """Lives an order in its best month."""
        self._count += 1
        context = self._at_noon(_best_day(typical, self._context.today))
        request = build_demo_request(typical.demo, context.shop, context.catalogue, context.now)
        quote = make_quote(request, context.shop, context.catalogue, context.now)
        self._put_balloons_in_stock(quote)
        order = self._take(context, request, way)
        if way.outcome is Ending.HANDED_OVER:
            self._finish(context, order, typical, way)
            self._bring_back(context, order)
        elif way.outcome is Ending.NOT_MADE:
            next_morning = context.shop.opening.day_bounds(context.today + timedelta(days=1))[0]
            mark_as_not_made(replace(context, now=next_morning + timedelta(minutes=70)), order.number)
        else:
            self._cancel(context, order, way)
        context.session.flush()
        return self._keep(order, quote, typical, way, 0.0)

    def sell(self, name: str, quantity: int, colour: str, weight: float) -> Lived:
        """Lives a quick sale."""
        self._count += 1
        context = self._at_noon(self._context.today - timedelta(days=30))
        balloon_type = next(one for one in context.catalogue.balloon_types.values() if one.name == name)
        self._put_in_stock(Article(balloon_type_id=balloon_type.id), colour)
        gas = Gas.AIR if balloon_type.air_only else Gas.HELIUM
        line = LineRequest(balloon_type.id, None, quantity, colour, gas)
        order = make_quick_sale(context, line, self._key("sale"))
        quote = make_quote(rebuild_request(order), context.shop, context.catalogue, context.now)
        return self._keep(order, quote, None, None, weight)

    def _at_noon(self, day: date) -> Context:
        start = self._context.shop.opening.day_bounds(day)[0]
        return replace(self._context, now=start + timedelta(hours=12))

    def _key(self, what: str) -> str:
        return f"year {self._count} {what}"

    def _put_in_stock(self, article: Article, colour: str) -> None:
        """Puts plenty of it in stock, unless the shop does not count it."""
        if (article, colour) in self._stocked or article not in self._counted:
            return
        self._stocked.add((article, colour))
        arrival = Arrival(article, colour, PLENTY, self._context.today - timedelta(days=1))
        receive(self._context, arrival, f"year {article} {colour}")

    def _put_balloons_in_stock(self, quote: Quote) -> None:
        for batch in quote.batches:
            for colour, _ in batch.fill.colours:
                self._put_in_stock(Article(balloon_type_id=batch.fill.spec.balloon_type_id), colour)

    def _take(self, context: Context, request: OrderRequest, way: Course) -> Order:
        """Takes the order three days before, and the deposit with it if that is how it is paid."""
        then = replace(context, now=context.now - timedelta(days=3))
        order = take_order(then, request, self._key("order"))
        context.session.flush()
        if way.pays is Pays.DEPOSIT and order.deposit_asked_minor:
            self._pay(then, order, order.deposit_asked_minor, "deposit")
        return order

    def _pay(self, context: Context, order: Order, minor: int, what: str, **more: Any) -> None:
        if minor:
            how = PaymentMethod.TRANSFER if what == "account" else PaymentMethod.CARD
            add_payment(context, order.number, PaymentInput(minor, how, **more), self._key(what))

    def _finish(self, context: Context, order: Order, typical: Typical, way: Course) -> None:
        """Does what the bench and the pick-ups do."""
        for number, (at, act, subject, colour) in enumerate(self._acts(context, order, typical, way)):
            then = replace(context, now=at)
            if isinstance(subject, OrderBatch):
                press = Press(TapAction(act), self._key(f"tap {number}"), colour=colour, sure=True)
                tap_batch(then, subject.key, press)
                continue
            if act == HandOverStep.HANDED_OVER:
                self._pay_at_the_door(then, order, way)
            take_step(then, order.number, HandOverStep(act), self._key(f"step {number}"))
        if way.pays is Pays.ON_ACCOUNT:
            later = replace(context, now=order.ready_by + ACCOUNT_TIME)
            self._pay(later, order, order.total_minor, "account")

    def _acts(
        self, context: Context, order: Order, typical: Typical, way: Course
    ) -> list[tuple[datetime, str, OrderBatch | Order, str]]:
        """Returns what is done, in order of time: the moment, the act or step, the batch or order, and the colour of
        a burst."""
        late = timedelta(minutes=way.minutes_late)
        acts = [*simulate_order(order, typical.demo, context.shop.work_times.drying_minutes)]
        if late:
            ready = next(at for at, act, _ in acts if act == HandOverStep.READY)
            late += max(order.ready_by - ready, timedelta(0))
        done = [(at + late, act, subject, "") for at, act, subject in acts]
        for at, act, batch, _ in [*done]:
            if isinstance(batch, OrderBatch) and act == TapAction.START:
                done += [
                    (at + timedelta(minutes=place + 1), *burst) for place, burst in enumerate(_bursts(batch, way))
                ]
        return sorted(done, key=lambda one: one[0])

    def _pay_at_the_door(self, context: Context, order: Order, way: Course) -> None:
        if way.pays in (Pays.ON_ACCOUNT, Pays.NEVER):
            take_step(context, order.number, HandOverStep.ON_ACCOUNT, self._key("on account"))
            return
        paid = order.deposit_asked_minor if way.pays is Pays.DEPOSIT else 0
        self._pay(context, order, order.rental_deposit_minor, "security", rental=True)
        self._pay(context, order, order.total_minor - paid, "rest")

    def _bring_back(self, context: Context, order: Order) -> None:
        """Brings back the rental items, and pays back their security deposit."""
        if not order.rentals:
            return
        back_at = order.take_down_at or order.return_by or order.ready_by + timedelta(days=1)
        then = replace(context, now=back_at)
        if order.take_down_at:
            cut_and_bin(then, order.number, self._key("cut"))
        later = replace(then, now=back_at + timedelta(minutes=25))
        return_all(later, order.number, self._key("back"))
        self._pay(
            later, order, order.rental_deposit_minor, "security back", rental=True, direction=PaymentDirection.BACK
        )

    def _cancel(self, context: Context, order: Order, way: Course) -> None:
        """Cancels the order the day before, or on the day when half of it is filled; what was paid above the fee
        goes back, and what was not is paid."""
        then = replace(context, now=order.ready_by - timedelta(days=1, hours=2))
        if way.outcome is Ending.FILLED_FOR_NOTHING:
            then = replace(context, now=max(batch.inflate_by for batch in order.batches))
            for batch in order.batches:
                press = Press(TapAction.FILL, self._key(f"half {batch.key}"), batch.quantity // 2, sure=True)
                tap_batch(replace(then, now=then.now - timedelta(minutes=10)), batch.key, press)
        fee = FEE.of(order.total_minor) if way.cancelled_for.keeps_fee else 0
        cancel_order(then, order.number, order.version, Cancellation(way.cancelled_for, way.note, fee))
        paid = order.deposit_asked_minor if way.pays is Pays.DEPOSIT else 0
        after = replace(then, now=then.now + timedelta(minutes=3))
        if paid > fee:
            self._pay(after, order, paid - fee, "refund", direction=PaymentDirection.BACK)
        else:
            self._pay(after, order, fee - paid, "fee")

    def _keep(
        self, order: Order, quote: Quote, typical: Typical | None, way: Course | None, weight: float
    ) -> Lived:
        self._context.session.flush()
        return keep(self._context, order, quote, typical, way, weight)


def _best_day(typical: Typical, today: date) -> date:
    """Returns a day of the past on which it is ordered most."""
    days = [today - timedelta(days=20 + 9 * place) for place in range(42)]
    return max(days, key=typical.weight_on)


def _bursts(batch: OrderBatch, way: Course) -> Iterator[tuple[str, OrderBatch, str]]:
    """Yields the bursts of a batch of latex, the first colour first."""
    if batch.material.traits.ages_in_stock:
        for place in range(way.bursts):
            yield TapAction.BURST, batch, str(batch.colours[place % len(batch.colours)][0])
