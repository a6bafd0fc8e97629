"""Work out what a wish asks of the bench, whether it will float, and what it costs. Nothing is written."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from app.actions.errors import Problem, Refused
from app.actions.money.bills import make_bill
from app.actions.records.shop import Goods, Shop
from app.craft.cost import spares
from app.craft.money import Percent, Portion
from app.craft.price import Bill
from app.craft.sizing import fill_size
from app.craft.weights import weight_g
from app.physics.endurance import Filling, endurance
from app.planning.window import (
    Verdict,
)
from app.planning.work import batch_work, drying, tail_work
from app.quoting.extras import SoldExtra, sell_extra
from app.quoting.journey import Course, course_of, venue_air
from app.quoting.parts import BatchOf, Kept, SoldLine, follow, sell, together
from app.quoting.policy import TaxRule
from app.quoting.rental_items import HiredGood, hired_goods
from app.quoting.request import HandOver, Occasion, OrderWish
from app.quoting.runs import BatchPlan, Fill, Run, lay_runs

WORST_FIRST = (Verdict.NO, Verdict.CHANCY, Verdict.SAFE)


@dataclass(frozen=True, slots=True)
class Quote:
    """The answer. runs: the order's hand-over, and that of its later part if it has one. venue_minor: the fee for
    filling at the venue. tax: as the order is, or was, sold with."""

    wish: OrderWish
    lines: tuple[SoldLine, ...]
    runs: tuple[Run, ...]
    tail: timedelta
    venue_minor: int
    extras: tuple[SoldExtra, ...]
    hired: tuple[HiredGood, ...]
    tax: TaxRule
    bill: Bill

    @property
    def ready_by(self) -> datetime:
        """When it stands finished: to be collected, to leave, or to be hung."""
        return self.runs[0].ready_by

    @property
    def leaves_at(self) -> datetime:
        """When it, or the crew that fills it, leaves the shop."""
        return self.wish.ready_by or self.ready_by

    @property
    def batches(self) -> tuple[BatchPlan, ...]:
        return tuple(batch for run in self.runs for batch in run.batches)

    @property
    def first_fill_by(self) -> datetime:
        return min(run.first_fill_by for run in self.runs)

    @property
    def late(self) -> Run | None:
        """What the bench cannot have ready in time."""
        return next((run for run in self.runs if run.ready_at), None)

    @property
    def ready_at(self) -> datetime | None:
        """When what is late would be ready if begun now; None when nothing is."""
        return self.late.ready_at if self.late else None

    @property
    def float_verdict(self) -> Verdict:
        verdicts = {batch.window.verdict for batch in self.batches}
        return next((verdict for verdict in WORST_FIRST if verdict in verdicts), Verdict.SAFE)

    @property
    def verdict(self) -> Verdict:
        return Verdict.NO if self.late else self.float_verdict

    @property
    def total_minor(self) -> int:
        """What the customer pays, without what is given back for hired goods."""
        return self.bill.total_minor

    @property
    def weights(self) -> dict[BatchOf, float | None]:
        return {batch.fill.of: batch.fill.weight_g for batch in self.batches}

    def arrives(self, run: Run) -> datetime:
        """When it is with the customer: collected, or delivered."""
        return run.ready_by + timedelta(minutes=self.wish.travel_minutes if self.wish.arrives_at else 0)

    def batches_of(self, line: SoldLine) -> list[BatchPlan]:
        return [batch for batch in self.batches if batch.fill.of in line.parts]


@dataclass(frozen=True, slots=True)
class Standing:
    """What of an order stands already: the starts of batches begun, lines, fee and tax as they were sold, the
    deposit asked, deposits agreed on supplies, the supplies that it has, and how it is handed over."""

    begun: Mapping[BatchOf, datetime] = field(default_factory=dict)
    kept: Kept = field(default_factory=dict)
    hand_over: HandOver | None = None
    venue_minor: int = 0
    tax: TaxRule | None = None
    deposit: Portion | None = None
    deposits: Mapping[int, int] = field(default_factory=dict)
    supplies: Collection[int] = ()


NEW = Standing()


def quote(wish: OrderWish, shop: Shop, goods: Goods, now: datetime, standing: Standing = NEW) -> Quote:
    """Raises Refused with a problem for each field."""
    lines = tuple(sell(line, place, goods, shop, standing.kept) for place, line in enumerate(wish.lines))
    extras = _sell_extras(wish, goods, shop, standing)
    _refuse_move(wish, standing)
    courses = {later: course_of(wish, shop, later=later) for later in (False, True)}
    fills = [_fill(of, colours, wish, courses[of.later], shop, goods) for of, colours in together(lines).items()]
    _refuse_sinkers(fills, lines, wish, shop)
    _refuse_empty_hand_over(fills)
    tail = tail_work(sum(line.assembly_minutes for line in lines), shop.pace)
    begun = follow(standing.begun, [fill.of for fill in fills])
    runs = lay_runs(fills, courses, shop, tail, now, begun)
    fee, tax = _venue_fee(wish, shop, standing), standing.tax or shop.till.tax
    hired = hired_goods(lines, extras, standing.deposits)
    deposit = standing.deposit or Percent(shop.till.deposit_percent)
    bill = make_bill(lines, extras, fee, wish.discount, tax, deposit, hired)
    return Quote(wish, lines, runs, tail, fee, extras, hired, tax, bill)


def _sell_extras(wish: OrderWish, goods: Goods, shop: Shop, standing: Standing) -> tuple[SoldExtra, ...]:
    deposits, had = standing.deposits, standing.supplies
    return tuple(sell_extra(one, place, goods, shop, deposits, had) for place, one in enumerate(wish.extras))


def waited(answer: Quote, shop: Shop, goods: Goods, now: datetime, standing: Standing = NEW) -> Quote | None:
    """The same order for a customer who waits until what is late is ready; None when nothing is, or nobody waits
    because a crew fills it there."""
    late = answer.late
    if late is None or late.ready_at is None or answer.wish.hand_over is HandOver.VENUE:
        return None
    wait = late.ready_at - late.ready_by
    moved = ("later_at",) if late.later else ("ready_by", "arrives_at")
    hours = {name: at + wait for name in moved if (at := getattr(answer.wish, name))}
    return quote(replace(answer.wish, **hours), shop, goods, now, standing)


def _venue_fee(wish: OrderWish, shop: Shop, standing: Standing) -> int:
    if wish.hand_over is not HandOver.VENUE:
        return 0
    return standing.venue_minor if standing.hand_over is HandOver.VENUE else shop.venue_minor


def _fill(
    of: BatchOf, colours: Mapping[str, int], wish: OrderWish, course: Course, shop: Shop, goods: Goods
) -> Fill:
    kind = goods.kinds[of.kind_id].kind()
    size = fill_size(kind, of.gas, course.filled_in, course.later_airs, wish.surroundings, shop.air_sizes)
    filling = Filling(kind, of.gas, size.litres, course.filled_in, of.treated)
    quantity = sum(colours.values())
    more = _spares(filling, quantity, wish, shop)
    work = batch_work(filling, quantity + more, shop.pace)
    owns = endurance(filling, shop.habits)
    dries, weight = drying(filling, shop.pace), _weight_g(filling, wish, shop)
    return Fill(of, kind, tuple(colours.items()), size, filling, owns, work, dries, weight, more)


def _spares(filling: Filling, quantity: int, wish: OrderWish, shop: Shop) -> int:
    """Latex bursts; what is sold at once is filled already."""
    if not filling.kind.stretches or wish.occasion is Occasion.NOW:
        return 0
    return spares(quantity, shop.till.spares_percent)


def _weight_g(filling: Filling, wish: OrderWish, shop: Shop) -> float | None:
    """By the wind told, or by the shop's limit when nobody said."""
    if not wish.surroundings.outdoors:
        return None
    wind = shop.outdoors.wind_limit_m_s if wish.wind_m_s is None else wish.wind_m_s
    return weight_g(filling, wind, venue_air(wish, shop), shop.habits, shop.outdoors)


def _refuse_move(wish: OrderWish, standing: Standing) -> None:
    """What was begun at the bench is not filled at the venue, nor the other way round."""
    there, was_there = (hand_over is HandOver.VENUE for hand_over in (wish.hand_over, standing.hand_over))
    if standing.begun and there is not was_there:
        where = "at the venue" if was_there else "at the bench"
        raise Refused(Problem("hand_over", f"Some are filled already {where}: the rest is filled there too."))


def _refuse_empty_hand_over(fills: Sequence[Fill]) -> None:
    if fills and all(fill.of.later for fill in fills):
        sentence = "All of it would be handed over later: untick “later part” and take that hour for the order."
        raise Refused(Problem("later_at", sentence))


def _refuse_sinkers(fills: Sequence[Fill], lines: Sequence[SoldLine], wish: OrderWish, shop: Shop) -> None:
    height = venue_air(wish, shop).elevation_m
    sinkers = {fill.of: fill.kind.name for fill in fills if fill.endurance.budget <= 0}
    problems = [
        Problem("what", f"{name} does not rise at {height:.0f} m with its load: too small, or too high up.", place)
        for of, name in sinkers.items()
        for place, line in enumerate(lines)
        if of in line.parts
    ]
    if problems:
        raise Refused(*problems)
