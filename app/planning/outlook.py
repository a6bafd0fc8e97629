"""This module plans what the bench does from now on, and when not all orders can be ready, which ones are late and
when they would be ready instead."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from app.planning.blocks import Block
from app.planning.finishing import FinishStarts, Fit, find_finish_starts
from app.planning.order_work import OrderWork, with_precedence
from app.planning.schedule import Absence, Batch, Case, Shift, Shortage, find_shortage, make_plan

STEP = timedelta(minutes=5)
PLAN_HORIZON = timedelta(days=7)
FULL_EFFORT, FAILED_SEARCHES_ALLOWED = 400, 3
"""The effort of each search for starts of finishing, until this many searches found nothing: when a bench is far
too full, further searches are not worth their time."""


@dataclass(frozen=True, slots=True)
class Delay:
    """An order that cannot be ready by its ready_by.

    ready_at: when it would be ready, in steps of five minutes from its ready_by; None when not within seven days.
    shortage: why it is late. proved: False when no plan was found although none was shown to be impossible.
    """

    key: str
    ready_by: datetime
    ready_at: datetime | None
    shortage: Shortage
    proved: bool


@dataclass(frozen=True, slots=True)
class Outlook:
    """The plan of the bench from now on.

    starts: the latest start of each batch and of each order's finishing, which has the order's key. finish_starts:
    when the finishing of each order may begin. blocks: when each batch is worked on. delays: the orders that will
    be late. An order that is never ready has no starts and no blocks.
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

    When not all orders fit, it first sets aside those that would be late even alone; then, of orders that together
    are too much, the one that is due last, until the others fit. It then adds the orders that it set aside again:
    first those that can still be in time, then the others in the order in which they are due. Each is filled, and
    then finished, as soon as the orders planned before it allow. Raises ValueError like `make_plan`.
    """
    bench = _Bench(shifts, points, now, absences)
    set_aside, found = _set_late_orders_aside(list(orders), bench)
    in_time = [order for order in orders if order.key in found.by_order]
    placed = _PlacedOrders(bench, dict(found.by_order))
    placed.batches.extend(
        batch for order in in_time for batch in with_precedence(order, found.by_order[order.key], now)
    )
    by_key = {order.key: order for order in orders}
    saved = {delay.key for delay in set_aside if placed.add_again(by_key[delay.key], now, timedelta())}
    delays, guess = [], now
    for delay in set_aside:
        if delay.key not in saved:
            within = PLAN_HORIZON + max(now - delay.ready_by, timedelta())
            ready_at = placed.add_again(by_key[delay.key], guess, within)
            guess = ready_at or guess
            delays.append(replace(delay, ready_at=ready_at))
    plan = make_plan(placed.batches, shifts, points, absences)
    return Outlook(plan.starts, placed.finish_starts, plan.blocks, tuple(delays))


@dataclass(frozen=True, slots=True)
class _Bench:
    """The bench from now on, which can be asked whether orders or batches fit on it."""

    shifts: Sequence[Shift]
    points: Mapping[str, int]
    now: datetime
    absences: Sequence[Absence]

    def finish_starts(self, orders: Sequence[OrderWork], effort: int = FULL_EFFORT) -> FinishStarts:
        """Returns when the finishing of each of these orders starts, or which of them conflict."""
        return find_finish_starts(orders, self.shifts, self.points, self.now, self.absences, effort)

    def fits(self, batches: Sequence[Batch]) -> bool:
        """Returns whether all of these batches fit."""
        return find_shortage(Case.of(batches, self.shifts, self.points, self.absences)) is None


def _set_late_orders_aside(remaining: list[OrderWork], bench: _Bench) -> tuple[list[Delay], FinishStarts]:
    """Removes orders from the remaining ones until those fit.

    Returns the delays of the removed orders, in the order in which they are due, and the starts of finishing of the
    remaining ones.
    """
    set_aside, found = list[Delay](), bench.finish_starts(remaining)
    if found.shortage:
        set_aside = [
            _set_aside(remaining, one, alone)
            for one in [*remaining]
            if (alone := bench.finish_starts([one])).shortage
        ]
        found = bench.finish_starts(remaining) if set_aside else found
    failures_left = FAILED_SEARCHES_ALLOWED
    while found.shortage:
        failures_left -= found.fit is Fit.NOT_FOUND
        set_aside.append(_set_aside(remaining, _due_last(remaining, found.shortage), found))
        found = bench.finish_starts(remaining, FULL_EFFORT if failures_left > 0 else 0)
    return sorted(set_aside, key=lambda one: (one.ready_by, one.key)), found


def _set_aside(remaining: list[OrderWork], order: OrderWork, found: FinishStarts) -> Delay:
    """Removes the order from the remaining ones, and returns its delay, with the shortage that was found.

    Raises ValueError when nothing is short.
    """
    remaining.remove(order)
    if found.shortage is None:
        raise ValueError("nothing is missing")
    return Delay(order.key, order.ready_by, None, found.shortage, found.fit is Fit.CANNOT)


def _due_last(orders: Sequence[OrderWork], shortage: Shortage) -> OrderWork:
    """Returns the order of the shortage that is due last; of two due at the same time, the one with the later
    key."""
    short = {*shortage.keys}
    competing = [
        order for order in orders if order.key in short or any(fill.batch.key in short for fill in order.fills)
    ]
    return max(competing, key=lambda order: (order.ready_by, order.key))


@dataclass(slots=True)
class _PlacedOrders:
    """The orders that are placed on the bench, with fixed starts of finishing; further ones can be added to
    them."""

    bench: _Bench
    finish_starts: dict[str, datetime]
    batches: list[Batch] = field(default_factory=list)

    def add_again(self, order: OrderWork, guess: datetime, within: timedelta) -> datetime | None:
        """Adds an order as early as possible, and returns when it will be ready.

        Its finishing starts as soon as its fills can be done, and it is ready as soon as the finishing can be done
        after that, both in steps of five minutes from its ready_by. Adds nothing and returns None when it cannot be
        ready within this time after its ready_by. guess: about when its finishing might start.
        """
        now = self.bench.now
        earliest = max([now, *(fill.batch.not_before + fill.drying_time for fill in order.fills)])
        least, most = -((order.ready_by - earliest) // STEP), within // STEP
        near = min(max((guess - order.ready_by) // STEP, least), most)

        def at(steps: int) -> datetime:
            return order.ready_by + steps * STEP

        def is_filled(steps: int) -> bool:
            *fills, _ = with_precedence(order, at(steps), now)
            return self.bench.fits([*self.batches, *fills])

        filled = _first_true(is_filled, near, least, most) if least <= most else None
        if filled is None:
            return None

        def is_ready(steps: int) -> bool:
            return self.bench.fits(
                [*self.batches, *with_precedence(_with_ready_by(order, at(steps)), at(filled), now)]
            )

        ready = _first_true(is_ready, filled, filled, most)
        if ready is None:
            return None
        return self._place(_with_ready_by(order, max(at(ready), order.ready_by)), at(filled))

    def _place(self, order: OrderWork, finish_start: datetime) -> datetime:
        """Adds an order with this start of finishing to the placed ones, and returns its ready-by."""
        self.finish_starts[order.key] = finish_start
        self.batches.extend(with_precedence(order, finish_start, self.bench.now))
        return order.ready_by


def _with_ready_by(order: OrderWork, ready_by: datetime) -> OrderWork:
    return replace(order, ready_by=ready_by)


def _first_true(test: Callable[[int], bool], near: int, least: int, most: int) -> int | None:
    """Returns the first number from least to most for which the test is true, or None when there is none.

    Once the test is true for a number, it must be true for all larger ones. The search starts at near, doubles its
    step down or up, and then halves the interval.
    """
    low, high, step = least - 1, near, 1
    if test(near):
        while high > least and test(lower := max(high - step, least)):
            high, step = lower, 2 * step
        low = max(high - step, least - 1)
    else:
        while not test(high):
            if high == most:
                return None
            low, high, step = high, min(high + step, most), 2 * step
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if test(middle) else (middle, high)
    return high
