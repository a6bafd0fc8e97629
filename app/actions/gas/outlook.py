"""On which day the helium runs out, with the orders that are confirmed and one that is asked about."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime

from app.actions.context import Context
from app.actions.gas.balance import CylinderNow, gas_now, gas_of, gas_taken
from app.physics.balloon import Gas
from app.quoting.parts import BatchSpec, match_commitments
from app.quoting.quote import Quote
from app.quoting.request import HandOver
from app.quoting.runs import BatchPlan
from app.quoting.shop import Shop
from app.store.queries.gas import ToFillRow, helium_to_fill
from app.store.queries.overdue import MAX_OVERDUE

LITRES_TOLERANCE = 0.5
"""An order that takes at most this many litres more than before counts as taking no more, because two calculations
of one order differ a little. Any balloon with helium takes more than that."""


@dataclass(frozen=True, slots=True)
class GasDay:
    """litres: promised to that day's fills. left: litres left after them; below 0 if there is too little."""

    day: date
    litres: float
    left: float


@dataclass(frozen=True, slots=True)
class GasOutlook:
    """Litres of gas as measured in the shop. left: in all cylinders together. days: those with helium to fill.
    order_litres: what the order asked about takes; order_litres_before: what it took as it was saved. stock: the
    cylinders now, full or in use; none if an order was asked about."""

    left: float
    days: tuple[GasDay, ...]
    order_litres: float = 0.0
    order_litres_before: float = 0.0
    stock: tuple[CylinderNow, ...] = ()

    @property
    def spare(self) -> float:
        """Litres left once all that is promised is filled; below 0 if there is too little."""
        return self.days[-1].left if self.days else self.left

    @property
    def short(self) -> GasDay | None:
        """The first day on which there is too little; None if there is enough."""
        return next((one for one in self.days if one.left < 0), None)

    @property
    def short_by(self) -> float:
        """Litres that are missing on that day; 0 if there is enough."""
        return -self.short.left if self.short else 0.0

    @property
    def is_worse(self) -> bool:
        """Whether there is too little, and the order asked about takes more than it did."""
        return self.short is not None and self.order_litres > self.order_litres_before + LITRES_TOLERANCE


Need = tuple[datetime, float]
"""The moment at which gas is needed, and how many litres."""


@dataclass(frozen=True, slots=True)
class GasPromised:
    """Litres of gas and who takes them, without one order. left: in all cylinders together. needs: of all other
    orders. own: the batches of the order left out, and litres_before: what they take. stock: the cylinders."""

    left: float
    needs: tuple[Need, ...]
    own: tuple[ToFillRow, ...] = ()
    litres_before: float = 0.0
    stock: tuple[CylinderNow, ...] = ()


def gas_outlook(
    context: Context, quote: Quote | None = None, excluding_order: int | None = None
) -> GasOutlook | None:
    """Returns when the helium runs out; None if no cylinder was ever entered.

    quote: an order to include. excluding_order: its number, if it is saved already, so that it counts as quoted and
    not as saved.
    """
    is_new = quote is not None and excluding_order is None
    found = context.keep("gas", _without_rows) if is_new else _find_promised(context, excluding_order)
    if found is None:
        return None
    asked = list(_order_needs(quote, found.own, context.shop)) if quote else []
    days = _days([*found.needs, *asked], found.left, context.today, context.shop)
    return GasOutlook(found.left, tuple(days), _litres(asked), found.litres_before, found.stock)


def _find_promised(context: Context, excluding_order: int | None = None) -> GasPromised | None:
    """Returns the gas and who takes it, without that order; None if no cylinder was ever entered."""
    stock = gas_now(context)
    if stock is None:
        return None
    rows = helium_to_fill(context.session, excluding_order)
    own = tuple(row for row in rows if row.order_number == excluding_order)
    awaited = [row for row in rows if _is_awaited(row, context.now)]
    others = _needs((row for row in awaited if row.order_number != excluding_order), context)
    before = _needs((row for row in awaited if row.order_number == excluding_order), context)
    left = sum(one.left for one in stock)
    return GasPromised(left, tuple(others), own, _litres(before), tuple(stock))


def _without_rows(context: Context) -> GasPromised | None:
    """Returns the gas and who takes it, without the rows of the cylinders, so that it can be kept."""
    found = _find_promised(context)
    return replace(found, stock=()) if found else None


def gas_is_short(
    context: Context,
    quote: Quote,
    excluding_order: int | None = None,
    *,
    reopened: bool = False,
) -> bool:
    """Returns whether there is too little helium for the quote and all confirmed orders.

    It is False if the order takes no helium, or no more than it did. reopened: it took nothing before. The check
    takes at most three statements, and none without helium.
    """
    if not any(_is_helium(plan) for plan in quote.batches):
        return False
    outlook = gas_outlook(context, quote, excluding_order)
    return outlook is not None and (outlook.is_worse or (reopened and outlook.short is not None))


def _is_awaited(row: ToFillRow, now: datetime) -> bool:
    """Returns whether the batch will still be filled: it was started, or its order is not long overdue."""
    return row.started or row.ready_by > now - MAX_OVERDUE


def _needs(rows: Iterable[ToFillRow], context: Context) -> list[Need]:
    """Returns what the batches still take, each with its moment."""
    return [(row.gas_needed_at, row.to_fill * gas_of(row, context)) for row in rows]


def _litres(needs: Iterable[Need]) -> float:
    """Returns the litres of all needs together."""
    return sum(litres for _, litres in needs)


def _days(needs: Iterable[Need], left: float, today: date, shop: Shop) -> Iterator[GasDay]:
    """Yields the days with helium to fill; what is overdue counts for today."""
    by_day: defaultdict[date, float] = defaultdict(float)
    for at, litres in needs:
        by_day[max(shop.opening.day_of(at), today)] += litres
    for day in sorted(by_day):
        if by_day[day] > 0:
            left -= by_day[day]
            yield GasDay(day, by_day[day], left)


def _order_needs(quote: Quote, own: Iterable[ToFillRow], shop: Shop) -> Iterator[Need]:
    """Yields what each batch of the order asked about still takes, without what of it is filled already."""
    saved_batches = {
        BatchSpec(row.balloon_type_id, Gas.HELIUM, row.treated, row.part, row.hung_g): row for row in own
    }
    saved = match_commitments(saved_batches, [plan.fill.spec for plan in quote.batches])
    at_venue = quote.request.hand_over is HandOver.VENUE
    for plan in quote.batches:
        if _is_helium(plan):
            fill, row = plan.fill, saved.get(plan.fill.spec)
            pieces = row.count_to_fill(fill.quantity, fill.spares) if row else fill.quantity + fill.spares
            each = gas_taken(fill.balloon_type, fill.filling.litres, fill.filling.air, shop)
            yield quote.leaves_at if at_venue else plan.window.inflate_by, pieces * each


def _is_helium(plan: BatchPlan) -> bool:
    """Returns whether the batch is filled with helium."""
    return plan.fill.spec.gas is Gas.HELIUM
