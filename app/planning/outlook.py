"""What the bench will do from now on: the latest plan in which all is ready, and where not all can be, who gives
way and when they would be ready instead."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import NamedTuple

from app.planning.blocks import Block
from app.planning.handoff import Fit, OrderWork, find_hand_offs, handed_off
from app.planning.schedule import Away, Batch, Case, Shift, Shortage, find_shortage, make_plan

STEP = timedelta(minutes=5)
FURTHEST = timedelta(days=7)
PATIENT, FEW = 400, 3
"""The effort at hand-offs until a few orders have given way; a bench far too full is not worth it."""


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
    """starts: the latest start of each batch and tail. hand_offs: when each order's finish work begins. blocks:
    who is worked on when. A tail has its order's key; an order that is never ready has none of these."""

    starts: Mapping[str, datetime]
    hand_offs: Mapping[str, datetime]
    blocks: tuple[Block, ...]
    delays: tuple[Delay, ...]


def look_ahead(
    orders: Sequence[OrderWork],
    shifts: Sequence[Shift],
    points: Mapping[str, int],
    now: datetime,
    away: Sequence[Away] = (),
) -> Outlook:
    """The plan from now on. Of orders that together are too much, the one due last gives way, then the next, until
    the others fit; those that gave way come back in the order they are due, each filled and then finished as soon
    as can be beside all before it. Raises ValueError like `make_plan`."""

    def fits(batches: Sequence[Batch]) -> bool:
        return find_shortage(Case.of(batches, shifts, points, away)) is None

    kept, late = list(orders), list[Delay]()
    while (found := find_hand_offs(kept, shifts, points, now, away, PATIENT if len(late) < FEW else 0)).shortage:
        last = _due_last(kept, found.shortage)
        kept.remove(last)
        late.append(Delay(last.key, last.ready_by, None, found.shortage, found.fit is Fit.CANNOT))
    hand_offs, works = dict(found.by_order), {order.key: order for order in orders}
    batches = [batch for order in kept for batch in handed_off(order, hand_offs[order.key], now)]
    delays, guess = [], now
    for delay in sorted(late, key=lambda one: (one.ready_by, one.key)):
        back = _come_back(works[delay.key], batches, now, guess, fits)
        if back:
            hand_offs[delay.key] = guess = back.hand_off
            batches.extend(handed_off(back.order, back.hand_off, now))
        if back is None or back.order.ready_by > delay.ready_by:
            delays.append(replace(delay, ready_at=back.order.ready_by if back else None))
    plan = make_plan(batches, shifts, points, away)
    return Outlook(plan.starts, hand_offs, plan.blocks, tuple(delays))


def _due_last(orders: Sequence[OrderWork], shortage: Shortage) -> OrderWork:
    """Of those that are too much together; of two due at once, the one with the later key."""
    wanted = {*shortage.keys}
    competing = [
        order for order in orders if order.key in wanted or any(fill.batch.key in wanted for fill in order.fills)
    ]
    return max(competing, key=lambda order: (order.ready_by, order.key))


class _Back(NamedTuple):
    """An order as it can be made after all."""

    order: OrderWork
    hand_off: datetime


def _come_back(
    order: OrderWork,
    beside: Sequence[Batch],
    now: datetime,
    guess: datetime,
    fits: Callable[[Sequence[Batch]], bool],
) -> _Back | None:
    """Handed off as soon as its fills can be done, and ready as soon as its tail can be after that; on steps from
    its own hour, and None when not within the furthest. guess: about when it might be handed off."""
    least = -((order.ready_by - now) // STEP)

    def at(steps: int) -> datetime:
        return order.ready_by + steps * STEP

    def is_filled(steps: int) -> bool:
        *fills, _ = handed_off(order, at(steps), now)
        return fits([*beside, *fills])

    near = max((guess - order.ready_by) // STEP, least)
    filled = _first(is_filled, near, least, least + FURTHEST // STEP)
    if filled is None:
        return None

    def is_ready(steps: int) -> bool:
        return fits([*beside, *handed_off(replace(order, ready_by=at(steps)), at(filled), now)])

    ready = _first(is_ready, filled, filled, filled + FURTHEST // STEP)
    if ready is None:
        return None
    return _Back(replace(order, ready_by=max(at(ready), order.ready_by)), at(filled))


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
