"""Work out what a wish asks of the bench, whether it will float, and what it costs. Nothing is written."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from types import MappingProxyType
from typing import Any

from app.actions.errors import Problem, Refused
from app.actions.parts import BatchOf, SoldLine, sell, together
from app.actions.shop import Goods, Shop
from app.actions.wish import LineWish, OrderWish
from app.craft.sizing import FillSize, fill_size
from app.physics.air import Air
from app.physics.balloon import Kind
from app.physics.endurance import Endurance, Filling, Surroundings, endurance, spending
from app.planning.shoptime import step_up
from app.planning.window import (
    FloatWindow,
    Leg,
    Verdict,
    float_window,
    one_hand_ready,
    one_hand_start,
    ready_chain,
)
from app.planning.work import batch_work, drying, tail_work

NOTHING: Mapping[Any, Any] = MappingProxyType({})
WORST_FIRST = (Verdict.NO, Verdict.CHANCY, Verdict.SAFE)
NEVER_OPEN = Problem("ready_by", "The shop's hours leave no room for the work in the two months before that.")


@dataclass(frozen=True, slots=True)
class Fill:
    """What one batch asks of the bench, before any hour is known."""

    of: BatchOf
    kind: Kind
    colours: tuple[tuple[str, int], ...]
    size: FillSize
    filling: Filling
    endurance: Endurance
    work: timedelta
    dries: timedelta

    @property
    def quantity(self) -> int:
        return sum(count for _, count in self.colours)


@dataclass(frozen=True, slots=True)
class BatchPlan:
    fill: Fill
    legs: tuple[Leg, ...]
    window: FloatWindow


@dataclass(frozen=True, slots=True)
class Quote:
    """The answer. first_fill_by: the first start when one hand fills all batches in turn. ready_at: when they
    would be ready if begun now, told only when that is after ready_by."""

    wish: OrderWish
    ready_by: datetime
    lines: tuple[SoldLine, ...]
    batches: tuple[BatchPlan, ...]
    tail: timedelta
    first_fill_by: datetime
    ready_at: datetime | None

    @property
    def float_verdict(self) -> Verdict:
        verdicts = {batch.window.verdict for batch in self.batches}
        return next((verdict for verdict in WORST_FIRST if verdict in verdicts), Verdict.SAFE)

    @property
    def verdict(self) -> Verdict:
        return Verdict.NO if self.ready_at else self.float_verdict

    @property
    def total_minor(self) -> int:
        return sum(line.total_minor for line in self.lines)

    def batches_of(self, line: SoldLine) -> list[BatchPlan]:
        return [batch for batch in self.batches if batch.fill.of in line.parts]


def quote(
    wish: OrderWish,
    shop: Shop,
    goods: Goods,
    now: datetime,
    begun: Mapping[BatchOf, datetime] = NOTHING,
    kept: Mapping[LineWish, SoldLine] = NOTHING,
) -> Quote:
    """begun: the starts of batches already on the bench. kept: lines already sold stay as they were sold.
    Raises Refused with a problem for each field."""
    lines = tuple(kept.get(line) or sell(line, place, goods, shop) for place, line in enumerate(wish.lines))
    fills = [_fill(of, colours, wish, shop, goods) for of, colours in together(lines).items()]
    _refuse_sinkers(fills, lines, wish, shop)
    tail = tail_work(sum(line.assembly_minutes for line in lines), shop.pace)
    to_do = [(fill.work, fill.dries) for fill in fills if fill.of not in begun]
    soonest = _or_refuse(one_hand_ready(now, shop.opening, tail, to_do))
    ready_by = wish.ready_by or step_up(soonest, shop.step_minutes, shop.zone)
    batches = tuple(_plan(fill, wish, ready_by, shop, tail, now, begun) for fill in fills)
    first = _or_refuse(one_hand_start(ready_by, shop.opening, tail, to_do))
    late = bool(to_do) and now > first and soonest > ready_by
    ready_at = step_up(soonest, shop.step_minutes, shop.zone) if late else None
    return Quote(wish, ready_by, lines, batches, tail, first, ready_at)


def _or_refuse(moment: datetime | None) -> datetime:
    if moment is None:
        raise Refused(NEVER_OPEN)
    return moment


def _fill(of: BatchOf, colours: Mapping[str, int], wish: OrderWish, shop: Shop, goods: Goods) -> Fill:
    kind = goods.kinds[of.kind_id].kind()
    later = (van_air(shop), venue_air(wish, shop)) if wish.travel_minutes else (venue_air(wish, shop),)
    size = fill_size(kind, of.gas, shop.air, later, wish.surroundings, shop.air_sizes)
    filling = Filling(kind, of.gas, size.litres, shop.air, of.treated)
    work = batch_work(filling, sum(colours.values()), shop.pace)
    owns = endurance(filling, shop.habits)
    return Fill(of, kind, tuple(colours.items()), size, filling, owns, work, drying(filling, shop.pace))


def venue_air(wish: OrderWish, shop: Shop) -> Air:
    celsius = shop.indoors_celsius if wish.venue_celsius is None else wish.venue_celsius
    elevation = shop.air.elevation_m if wish.venue_elevation_m is None else wish.venue_elevation_m
    return Air(celsius, elevation)


def van_air(shop: Shop) -> Air:
    return Air(shop.journey_celsius, shop.air.elevation_m)


def _plan(
    fill: Fill,
    wish: OrderWish,
    ready_by: datetime,
    shop: Shop,
    tail: timedelta,
    now: datetime,
    begun: Mapping[BatchOf, datetime],
) -> BatchPlan:
    legs = _legs(fill.filling, wish, ready_by, shop)
    inflate_by = _or_refuse(ready_chain(ready_by, shop.opening, tail, fill.dries, fill.work))
    start = begun.get(fill.of, max(now, inflate_by))
    return BatchPlan(fill, legs, float_window(fill.endurance, legs, inflate_by, shop.certainty, start))


def _legs(filling: Filling, wish: OrderWish, ready_by: datetime, shop: Shop) -> tuple[Leg, ...]:
    """The shop until it leaves, the van until it arrives, the venue until it need no longer be up."""
    stays = [(ready_by, shop.air, Surroundings.INDOORS)]
    if wish.arrives_at:
        stays.append((wish.arrives_at, van_air(shop), Surroundings.INDOORS))
    if wish.lasts_until:
        stays.append((wish.lasts_until, venue_air(wish, shop), wish.surroundings))
    return tuple(Leg(ends, spending(filling, air, where, shop.habits)) for ends, air, where in stays)


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
