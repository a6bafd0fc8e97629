"""What the bench will do from now on: the latest plan in which all is ready, and where not all can be, who gives
way and when they would be ready instead."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from app.planning.blocks import Block
from app.planning.finishing import FinishStarts, Fit, OrderWork, find_finish_starts, finish_start_of
from app.planning.schedule import Absence, Batch, Case, Shift, Shortage, find_shortage, make_plan

STEP = timedelta(minutes=5)
FURTHEST = timedelta(days=7)
PATIENT, FEW = 400, 3
"""The effort at starts of finishing, until a few searches had no result: a bench far too full is not worth more."""


@dataclass(frozen=True, slots=True)
class Delay:
    """An order that cannot be ready by its hour. shortage: why it gives way.

    ready_at: when it would be, in steps of five minutes from its own hour; None when not within seven days. proved:
    False where no plan was found, though none was shown to be impossible.
    """

    key: str
    ready_by: datetime
    ready_at: datetime | None
    shortage: Shortage
    proved: bool


@dataclass(frozen=True, slots=True)
class Outlook:
    """starts: the latest start of each batch and tail. finish_starts: when each order's finish work begins. blocks:
    who is worked on when. A tail has its order's key; an order that is never ready has none of these."""

    starts: Mapping[str, datetime]
    finish_starts: Mapping[str, datetime]
    blocks: tuple[Block, ...]
    delays: tuple[Delay, ...]


def look_ahead(
    orders: Sequence[OrderWork],
    shifts: Sequence[Shift],
    points: Mapping[str, int],
    now: datetime,
    away: Sequence[Absence] = (),
) -> Outlook:
    """The plan from now on. Where not all fit, those give way that would be late even alone; then, of orders that
    together are too much, the one due last, until the others fit. Who gave way comes back, first those that can
    still be in time, then the others in the order they are due, each filled and then finished as soon as can be
    beside all before it. Raises ValueError like `make_plan`."""
    bench = _Bench(shifts, points, now, away)
    late, found = _sort_out(list(orders), bench)
    stays = [order for order in orders if order.key in found.by_order]
    laid = _PlacedOrders(bench, dict(found.by_order))
    laid.batches.extend(
        batch for order in stays for batch in finish_start_of(order, found.by_order[order.key], now)
    )
    works = {order.key: order for order in orders}
    saved = {delay.key for delay in late if laid.come_back(works[delay.key], now, timedelta())}
    delays, guess = [], now
    for delay in late:
        if delay.key not in saved:
            within = FURTHEST + max(now - delay.ready_by, timedelta())
            ready_at = laid.come_back(works[delay.key], guess, within)
            guess = ready_at or guess
            delays.append(replace(delay, ready_at=ready_at))
    plan = make_plan(laid.batches, shifts, points, away)
    return Outlook(plan.starts, laid.finish_starts, plan.blocks, tuple(delays))


@dataclass(frozen=True, slots=True)
class _Bench:
    shifts: Sequence[Shift]
    points: Mapping[str, int]
    now: datetime
    away: Sequence[Absence]

    def ask(self, orders: Sequence[OrderWork], effort: int = PATIENT) -> FinishStarts:
        return find_finish_starts(orders, self.shifts, self.points, self.now, self.away, effort)

    def fits(self, batches: Sequence[Batch]) -> bool:
        return find_shortage(Case.of(batches, self.shifts, self.points, self.away)) is None


def _sort_out(stays: list[OrderWork], bench: _Bench) -> tuple[list[Delay], FinishStarts]:
    """Who gives way, in the order they are due, and the starts of finishing of the others."""
    late, found = list[Delay](), bench.ask(stays)
    if found.shortage:
        late = [_gives_way(stays, one, alone) for one in [*stays] if (alone := bench.ask([one])).shortage]
        found = bench.ask(stays) if late else found
    patience = FEW
    while found.shortage:
        patience -= found.fit is Fit.NOT_FOUND
        late.append(_gives_way(stays, _due_last(stays, found.shortage), found))
        found = bench.ask(stays, PATIENT if patience > 0 else 0)
    return sorted(late, key=lambda one: (one.ready_by, one.key)), found


def _gives_way(stays: list[OrderWork], order: OrderWork, found: FinishStarts) -> Delay:
    """It leaves those that are kept, for what was found to be missing."""
    stays.remove(order)
    if found.shortage is None:
        raise ValueError("nothing is missing")
    return Delay(order.key, order.ready_by, None, found.shortage, found.fit is Fit.CANNOT)


def _due_last(orders: Sequence[OrderWork], shortage: Shortage) -> OrderWork:
    """Of those that are too much together; of two due at once, the one with the later key."""
    wanted = {*shortage.keys}
    competing = [
        order for order in orders if order.key in wanted or any(fill.batch.key in wanted for fill in order.fills)
    ]
    return max(competing, key=lambda order: (order.ready_by, order.key))


@dataclass(slots=True)
class _PlacedOrders:
    """The bench with starts of finishing that stand; others come back beside them."""

    bench: _Bench
    finish_starts: dict[str, datetime]
    batches: list[Batch] = field(default_factory=list)

    def come_back(self, order: OrderWork, guess: datetime, within: timedelta) -> datetime | None:
        """When it will be ready: handed off as soon as its fills can be done, and ready as soon as its tail can be
        after that, on steps from its own hour. None when not within that time after it. guess: about when it might
        be handed off."""
        now = self.bench.now
        earliest = max([now, *(fill.batch.not_before + fill.dries for fill in order.fills)])
        least, most = -((order.ready_by - earliest) // STEP), within // STEP
        near = min(max((guess - order.ready_by) // STEP, least), most)

        def at(steps: int) -> datetime:
            return order.ready_by + steps * STEP

        def is_filled(steps: int) -> bool:
            *fills, _ = finish_start_of(order, at(steps), now)
            return self.bench.fits([*self.batches, *fills])

        filled = _first(is_filled, near, least, most) if least <= most else None
        if filled is None:
            return None

        def is_ready(steps: int) -> bool:
            return self.bench.fits([*self.batches, *finish_start_of(_due(order, at(steps)), at(filled), now)])

        ready = _first(is_ready, filled, filled, most)
        return None if ready is None else self._write(_due(order, max(at(ready), order.ready_by)), at(filled))

    def _write(self, order: OrderWork, finish_start: datetime) -> datetime:
        self.finish_starts[order.key] = finish_start
        self.batches.extend(finish_start_of(order, finish_start, self.bench.now))
        return order.ready_by


def _due(order: OrderWork, ready_by: datetime) -> OrderWork:
    return replace(order, ready_by=ready_by)


def _first(does: Callable[[int], bool], near: int, least: int, most: int) -> int | None:
    """The first number from least to most that does, where all after it do: from the near one by doubling the step
    down or up, then by halving."""
    low, high, step = least - 1, near, 1
    if does(near):
        while high > least and does(lower := max(high - step, least)):
            high, step = lower, 2 * step
        low = max(high - step, least - 1)
    else:
        while not does(high):
            if high == most:
                return None
            low, high, step = high, min(high + step, most), 2 * step
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if does(middle) else (middle, high)
    return high
