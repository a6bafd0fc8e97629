"""This module plans what the bench does from now on, and when not all orders can be ready, which ones are late and
when they would be ready instead."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from app.planning.blocks import Block
from app.planning.finishing import FinishStarts, Fit
from app.planning.following import EXACT_UP_TO, Following, Loss, best_following, by_due
from app.planning.giving_way import (
    GivingWay,
    GivingWaySearch,
    TooManySetsError,
    due_last,
    tight_load,
)
from app.planning.kept_load import KeptLoad
from app.planning.order_work import OrderWork, without_precedence
from app.planning.placing import BenchAhead, PlacedOrders, Placement
from app.planning.schedule import Absence, Shift, Shortage, make_plan
from app.planning.soonest_bounds import bounds_of

MOST_COMPARED, EXACT_WITH_MANY = 12, 4
"""When more than EXACT_UP_TO orders are at risk: how many sets are compared, and of how many orders that give way
all sequences are considered."""


@dataclass(frozen=True, slots=True)
class WorkShare:
    """The hand-seconds of an order's filling and of its finishing that a shortage counts. key: that of the
    order."""

    key: str
    fill_seconds: int
    finish_seconds: int


@dataclass(frozen=True, slots=True)
class Delay:
    """An order that cannot be ready by its ready_by.

    ready_at: when it would be ready, in steps of five minutes from its ready_by; None when not within seven days.
    shortage: why it is late, beside the orders that are in time. work: what the shortage counts, by order. proved:
    False when no plan was found although none was shown to be impossible.
    """

    key: str
    ready_by: datetime
    ready_at: datetime | None
    shortage: Shortage
    work: tuple[WorkShare, ...]
    proved: bool


@dataclass(frozen=True, slots=True)
class Outlook:
    """The plan of the bench from now on.

    starts: the latest start of each batch and of each order's finishing, which has the order's key. finish_starts:
    when the finishing of each order may begin. blocks: when each batch is worked on. delays: the orders that will
    be late, in the sequence in which they follow. An order that is never ready has no starts and no blocks.
    """

    starts: Mapping[str, datetime]
    finish_starts: Mapping[str, datetime]
    blocks: tuple[Block, ...]
    delays: tuple[Delay, ...]


def look_ahead(
    orders: Sequence[OrderWork],
    shifts: Sequence[Shift],
    points: Mapping[str, int],
    now: datetime,
    absences: Sequence[Absence] = (),
) -> Outlook:
    """Returns the plan of the bench from now on.

    When not all orders can be in time, some give way, and then follow one after another: each is filled, and then
    finished, as soon as the orders in time and those before it allow. As few as possible give way; then as few as
    possible miss the start of their event; then they are as little late as possible, all together. Of equal
    choices, those due last give way. Orders that are over before they could be ready, whatever is done, give way
    first, follow last, and count for nothing.

    This is exact, over all sets of which `find_finish_starts` finds the others in time and over all sequences in
    which a set can follow, while no more than eight orders are at risk: those that would be late even alone, and
    those that a shortage names (or that share its time, where none is proved). With more at risk it is a
    heuristic: of the smallest sets it compares the twelve that promise the least loss, and the set in which the
    order that is due last gives way each time; where 256 sets do not show which are the smallest, it compares that
    one with the set in which the order with most of the missing work gives way each time. If more than four give
    way then, it takes the best of three sequences (`best_following`). Raises ValueError like `make_plan`.
    """
    bench = BenchAhead(shifts, points, now, absences)
    found = bench.finish_starts(orders)
    if found.fit is Fit.FITS:
        return _outlook(PlacedOrders.of(bench, orders, found.by_order), ())
    risk = _Risk.of(orders, found, bench)
    search = risk.search()
    given, counted = _least_loss(risk, search)
    following = counted.and_then(by_due(risk.orders[key] for key in risk.over))
    return _outlook(following.placed, tuple(_delays(following, given, risk, search)))


def _outlook(placed: PlacedOrders, delays: tuple[Delay, ...]) -> Outlook:
    bench = placed.bench
    plan = make_plan(placed.batches, bench.shifts, bench.points, bench.absences)
    return Outlook(plan.starts, placed.finish_starts, plan.blocks, delays)


@dataclass(frozen=True, slots=True)
class _Risk:
    """The bench of which not all orders fit.

    load: that of the orders without precedence. alone: the starts of finishing of each order in a conflict, if it
    were alone. unavoidable: the orders that are late even then. over: those of them whose event is over then, or
    that are never ready.
    """

    bench: BenchAhead
    orders: Mapping[str, OrderWork]
    load: KeptLoad
    alone: Mapping[str, FinishStarts]
    unavoidable: frozenset[str]
    over: frozenset[str]

    @classmethod
    def of(cls, orders: Sequence[OrderWork], found: FinishStarts, bench: BenchAhead) -> "_Risk":
        """Returns the risk of these orders, which are in conflict as found."""
        conflicts = {key: conflict for conflict in found.conflicts for key in conflict.orders}
        alone = {
            order.key: bench.finish_starts([order]) if len(one.orders) > 1 else FinishStarts({}, (one,))
            for order in orders
            if (one := conflicts.get(order.key))
        }
        unavoidable = frozenset(key for key, one in alone.items() if one.shortage)
        by_key = {order.key: order for order in orders}
        over = frozenset(key for key in unavoidable if _is_over(by_key[key], bench))
        load = KeptLoad.of(bench.empty, {order.key: without_precedence(order, bench.now) for order in orders})
        return cls(bench, by_key, load, alone, unavoidable, over)

    def search(self) -> GivingWaySearch:
        """Returns the search for the orders that give way."""
        finish_starts = {key: at for found in self.alone.values() for key, at in found.by_order.items()}
        avoidable = [self.orders[key] for key in finish_starts]
        tight = tight_load(avoidable, finish_starts, self.bench)
        return GivingWaySearch(self.bench, self.orders, tight, self.unavoidable)

    def followers(self, given: GivingWay) -> list[OrderWork]:
        """Returns the orders that give way and count, by their ready-by."""
        return by_due(self.orders[key] for key in given.late - self.over)


def _is_over(order: OrderWork, bench: BenchAhead) -> bool:
    """Returns whether an order that has the bench to itself is ready only after its event, or never."""
    alone = Following(Loss(), (), PlacedOrders.of(bench, (), {})).and_then([order])
    ready_at = alone.placements[0].ready_at
    return ready_at is None or (order.latest_for_end is not None and ready_at > order.latest_for_end)


def _least_loss(risk: _Risk, search: GivingWaySearch) -> tuple[GivingWay, Following]:
    """Returns the orders that give way, and how those of them that count follow."""
    try:
        sets, is_exact = search.smallest(), True
    except TooManySetsError:
        sets, is_exact = [search.by_most_work()], False
    if is_exact and len(search.at_risk) <= EXACT_UP_TO:
        return _least_loss_of(sets, risk)
    best = _least_loss_of(sets, risk, MOST_COMPARED, EXACT_WITH_MANY)
    by_due_last = due_last(risk.bench, risk.load, [*risk.orders.values()], risk.unavoidable)
    other = _least_loss_of([by_due_last], risk, 1, EXACT_WITH_MANY)
    return min(best, other, key=lambda pair: (pair[1].late, pair[1].loss))


def _least_loss_of(
    sets: Sequence[GivingWay], risk: _Risk, most: int | None = None, exact_up_to: int = EXACT_UP_TO
) -> tuple[GivingWay, Following]:
    """Returns the set with the least loss, and how it follows; of equal sets, that of the orders that are due last.

    most: how many sets are compared, those that can have the least loss first. exact_up_to: of how many orders all
    sequences are considered.
    """

    def due(one: GivingWay) -> list[tuple[datetime, str]]:
        return [(order.ready_by, order.key) for order in reversed(risk.followers(one))]

    least = {one.late: Loss.at_least(bounds_of(one.in_time, risk.followers(one))) for one in sets}
    by_bound = sorted(sorted(sets, key=due, reverse=True), key=lambda one: least[one.late])
    best: tuple[GivingWay, Following] | None = None
    for one in by_bound[:most]:
        limit = None if best is None else best[1].loss.limit(equal_is_better=due(one) > due(best[0]))
        if limit is None or least[one.late] < limit:
            way = best_following(one.in_time, risk.followers(one), limit, exact_up_to)
            best = (one, way) if way else best
    if best is None:
        raise ValueError("there is no set")
    return best


def _delays(following: Following, given: GivingWay, risk: _Risk, search: GivingWaySearch) -> Iterator[Delay]:
    """Yields the delays of those that are late after all, in the sequence in which they follow."""
    placed = given.in_time
    for placement in following.placements:
        order = placement.order
        if placement.is_late:
            shortage, proved = _why(placement, placed, given, risk, search)
            work = tuple(_work_shares(shortage, risk.orders.values(), order))
            yield Delay(order.key, order.ready_by, placement.ready_at, shortage, work, proved)
        placed = placed.with_placement(placement)


def _why(
    placement: Placement, placed: PlacedOrders, given: GivingWay, risk: _Risk, search: GivingWaySearch
) -> tuple[Shortage, bool]:
    """Returns what is short, and whether that is proved: for the order alone, or else beside those in time, or else
    beside those that are placed before it."""
    key = placement.order.key
    others = [] if key in risk.unavoidable else [one for one in risk.orders if one not in given.late]
    if others and (short := risk.load.shortage({*others, key})):
        return short, True
    beside = [risk.orders[one] for one in (*others, key)]
    found = risk.alone[key] if key in risk.unavoidable else risk.bench.finish_starts(beside, can_fit=bool(others))
    if found.fit is Fit.NOT_FOUND and others and (short := search.shortage_without(given.late - {key})):
        return short, True
    short = found.shortage or placed.shortage_of(placement)
    if short is None:
        raise ValueError(f"{key}: nothing is short")
    return short, not others or found.fit is Fit.CANNOT


def _work_shares(shortage: Shortage, orders: Iterable[OrderWork], late: OrderWork) -> Iterator[WorkShare]:
    """Yields the work that a shortage counts: that of the late order, then that of the others, by their
    ready-by."""
    keys = {*shortage.keys}
    for order in sorted(by_due(orders), key=lambda one: one.key != late.key):
        seconds = sum(fill.batch.work_seconds for fill in order.fills if fill.batch.key in keys)
        share = WorkShare(order.key, round(seconds), round(order.finish_seconds) if order.key in keys else 0)
        if share.fill_seconds or share.finish_seconds:
            yield share
