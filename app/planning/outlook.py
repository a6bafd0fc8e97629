"""What the bench will do from now on: the latest plan in which all is ready, and where not all can be, who gives
way and when they would be ready instead."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from app.planning.blocks import Block
from app.planning.handoff import Fit, OrderWork, find_hand_offs, plan_orders
from app.planning.schedule import Away, Shift, Shortage

STEP = timedelta(minutes=5)
FURTHEST = timedelta(days=7)


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
    beside all before it. Raises ValueError like `make_plan`."""

    def fits(some: Sequence[OrderWork]) -> bool:
        return find_hand_offs(some, shifts, points, now, away).fit is Fit.FITS

    kept, gave_way = list(orders), []
    while (found := find_hand_offs(kept, shifts, points, now, away)).shortage:
        last = _due_last(kept, found.shortage)
        kept.remove(last)
        gave_way.append((last, found.shortage, found.fit is Fit.CANNOT))
    delays = []
    for order, shortage, proved in sorted(gave_way, key=lambda one: (one[0].ready_by, one[0].key)):
        later = _first_fit(order, kept, now, fits)
        kept.extend([later] if later else [])
        delays.append(Delay(order.key, order.ready_by, later.ready_by if later else None, shortage, proved))
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
    order: OrderWork, beside: Sequence[OrderWork], now: datetime, fits: Callable[[Sequence[OrderWork]], bool]
) -> OrderWork | None:
    """The order at its first later hour, found by doubling the steps and then halving between two."""
    late = max(timedelta(), now - order.ready_by)
    passed = -(-late // STEP) - 1 if late else 0

    def at(steps: int) -> OrderWork:
        ready_by = order.ready_by + steps * STEP
        fills = tuple(replace(fill, batch=replace(fill.batch, ready_by=ready_by)) for fill in order.fills)
        return replace(order, ready_by=ready_by, fills=fills)

    low, ahead, most = passed, 1, FURTHEST // STEP
    while not fits([*beside, at(passed + ahead)]):
        if ahead == most:
            return None
        low, ahead = passed + ahead, min(2 * ahead, most)
    high = passed + ahead
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if fits([*beside, at(middle)]) else (middle, high)
    return at(high)
