"""What the bench will do from now on: the latest plan in which all is ready, and where not all can be, who gives
way and when they would be ready instead."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from app.planning.blocks import Block
from app.planning.handoff import Fit, OrderWork, find_hand_offs, fit_laid_last, plan_orders
from app.planning.schedule import Away, Shift, Shortage

STEP = timedelta(minutes=5)
FURTHEST = timedelta(days=7)
PATIENT, FEW = 400, 3
"""The effort at hand-offs until a few orders have given way; a bench far too full is not worth it."""


@dataclass(frozen=True, slots=True)
class Delay:
    """An order that cannot be ready by its hour. shortage: why it gives way.

    ready_at: the first hour, in steps of five minutes after its own, at which it would be; None when there is none
    within seven days. proved: False where no plan was found, though none was shown to be impossible.
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
    the others fit; those that gave way come back in the order they are due, each at the first hour at which it fits
    beside all before it, tails at the end. Raises ValueError like `make_plan`."""

    def fits(some: Sequence[OrderWork]) -> bool:
        return fit_laid_last(some, shifts, points, now, away)

    kept, late = list(orders), list[Delay]()
    while (found := find_hand_offs(kept, shifts, points, now, away, PATIENT if len(late) < FEW else 0)).shortage:
        last = _due_last(kept, found.shortage)
        kept.remove(last)
        late.append(Delay(last.key, last.ready_by, None, found.shortage, found.fit is Fit.CANNOT))
    works, guess, delays = {order.key: order for order in orders}, now, []
    for delay in sorted(late, key=lambda one: (one.ready_by, one.key)):
        later = _first_fit(works[delay.key], kept, now, guess, fits)
        guess = later.ready_by if later else guess
        kept.extend([later] if later else [])
        delays.append(replace(delay, ready_at=later.ready_by if later else None))
    answer = plan_orders(kept, shifts, points, now, away)
    return Outlook(answer.plan.starts, answer.hand_offs, answer.plan.blocks, tuple(delays))


def _due_last(orders: Sequence[OrderWork], shortage: Shortage) -> OrderWork:
    """Of those that are too much together; of two due at once, the one with the later key."""
    wanted = {*shortage.keys}
    competing = [
        order for order in orders if order.key in wanted or any(fill.batch.key in wanted for fill in order.fills)
    ]
    return max(competing, key=lambda order: (order.ready_by, order.key))


def _first_fit(
    order: OrderWork,
    beside: Sequence[OrderWork],
    now: datetime,
    guess: datetime,
    fits: Callable[[Sequence[OrderWork]], bool],
) -> OrderWork | None:
    """The order at its first later hour: from the guess by doubling the steps, then by halving between two."""
    passed = max(0, -(-(now - order.ready_by) // STEP) - 1)
    most = passed + FURTHEST // STEP

    def at(steps: int) -> OrderWork:
        ready_by = order.ready_by + steps * STEP
        fills = tuple(replace(fill, batch=replace(fill.batch, ready_by=ready_by)) for fill in order.fills)
        return replace(order, ready_by=ready_by, fills=fills)

    def does(steps: int) -> bool:
        return fits([*beside, at(steps)])

    near = min(max(passed + 1, -(-(guess - order.ready_by) // STEP)), most)
    low, high = _bracket(does, near, passed, most)
    if high > most:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if does(middle) else (middle, high)
    return at(high)


def _bracket(does: Callable[[int], bool], near: int, least: int, most: int) -> tuple[int, int]:
    """A number of steps that does not do and a larger one that does, sought from the near one away; the second is
    above most where none does. The least is known not to do."""
    step = 1
    if does(near):
        high = near
        while (low := max(near - step, least)) > least and does(low):
            high, step = low, 2 * step
        return low, high
    low = near
    while low < most:
        high = min(near + step, most)
        if does(high):
            return low, high
        low, step = high, 2 * step
    return low, most + 1
