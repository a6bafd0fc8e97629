"""The bench with every order's tail: its fills end by a hand-off, dry, and its finish work begins at it.

With this precedence no single flow answers. Three answers are given: a plan with hand-offs was found (it fits);
it does not fit even without precedence (it cannot, and the minimum cut is the proof); or neither (not found).
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from functools import partial

from app.planning.schedule import (
    Away,
    Batch,
    Case,
    Plan,
    Shift,
    Shortage,
    find_shortage,
    latest_of,
    make_plan,
    tails_laid,
)

TRIES, ONE_BY_ONE = 7, 8
EFFORT = 100


class Fit(StrEnum):
    FITS = "fits"
    CANNOT = "cannot"
    NOT_FOUND = "not found"


@dataclass(frozen=True, slots=True)
class Fill:
    """A batch and how long it dries; the batch must end, dried, by its order's hand-off whatever its ready-by."""

    batch: Batch
    dries: timedelta = timedelta()


@dataclass(frozen=True, slots=True)
class OrderWork:
    """What an order still asks of the bench. finish_seconds: hand-seconds of its tail."""

    key: str
    fills: tuple[Fill, ...]
    finish_seconds: float
    ready_by: datetime


@dataclass(frozen=True, slots=True)
class HandOffs:
    """by_order: when each order's finish work begins, where it fits. shortage: what speaks against it; where
    nothing was found, what was missing in the nearest try."""

    fit: Fit
    by_order: Mapping[str, datetime]
    shortage: Shortage | None


@dataclass(frozen=True, slots=True)
class BenchAnswer:
    """plan is empty unless it fits; a tail has its order's key."""

    fit: Fit
    plan: Plan
    hand_offs: Mapping[str, datetime]
    shortage: Shortage | None


def plan_orders(
    orders: Sequence[OrderWork],
    shifts: Sequence[Shift],
    points: Mapping[str, int],
    now: datetime,
    away: Sequence[Away] = (),
) -> BenchAnswer:
    """Whether all orders can be ready, tails included, and the latest plan if so. Nothing begins before now.
    Raises ValueError like `make_plan`."""
    found = find_hand_offs(orders, shifts, points, now, away)
    if found.fit is not Fit.FITS:
        short = found.shortage.all_seconds if found.shortage else 0
        return BenchAnswer(found.fit, Plan(False, short, {}, ()), {}, found.shortage)
    plan = make_plan(_batches(orders, found.by_order, now), shifts, points, away)
    return BenchAnswer(found.fit, plan, found.by_order, None)


def find_hand_offs(
    orders: Sequence[OrderWork],
    shifts: Sequence[Shift],
    points: Mapping[str, int],
    now: datetime,
    away: Sequence[Away] = (),
    effort: int = EFFORT,
) -> HandOffs:
    """Whether all orders can be ready, tails included.

    Tails are first laid one after another at the end, with all hands: one flow, when that fits. Where it leaves
    some fills too little room, and the bench could fit without precedence, hand-offs are set as late as all others
    allow, order by order, those that lack room choosing first, a few times over; at last one by one.
    effort: how many hand-offs may be chosen in these further ways, orders times tries; a measure of time that is
    the same on every machine.
    """
    case_of = partial(Case.of, shifts=shifts, points=points, away=away)
    hand_offs, short, sound = _laid_last(orders, now, case_of)
    if sound:
        return HandOffs(Fit.FITS, hand_offs, None)
    without = case_of(_batches(orders, {}, now))
    if proof := find_shortage(without):
        return HandOffs(Fit.CANNOT, {}, proof)
    tries = min(effort // max(len(orders), 1), TRIES)
    if short and not tries:
        return HandOffs(Fit.NOT_FOUND, {}, short)
    chosen, missed = _due_last_first(orders), list[Shortage]()
    while short is not None:
        missed.append(short)
        if len(missed) >= tries:
            nearest = min(missed, key=lambda one: one.all_seconds)
            return (
                _last_try(orders, nearest, now, case_of) if tries == TRIES else HandOffs(Fit.NOT_FOUND, {}, nearest)
            )
        chosen = _lacking_first(chosen, orders, short) if len(missed) > 1 else chosen
        hand_offs = latest_of(without, chosen)
        short = _shortage_at(hand_offs, orders, now, case_of)
    return HandOffs(Fit.FITS, hand_offs, None)


def _laid_last(
    orders: Sequence[OrderWork], now: datetime, case_of: Callable[..., Case]
) -> tuple[Mapping[str, datetime], Shortage | None, bool]:
    """Hand-offs with the tails at the end, what is missing with them, and whether they are an answer: within the
    loose windows, so that these need not be asked."""
    tails = [tail for *_, tail in (_loose(order, now) for order in orders)]
    hand_offs = tails_laid(case_of(tails), _due_last_first(orders))
    short = _shortage_at(hand_offs, orders, now, case_of)
    sound = short is None and all(tail.not_before <= hand_offs[tail.key] for tail in tails)
    return hand_offs, short, sound


def _last_try(
    orders: Sequence[OrderWork], nearest: Shortage, now: datetime, case_of: Callable[..., Case]
) -> HandOffs:
    """Those in the nearest shortage choose first, each while the fills of those before it keep their hand-offs."""
    hand_offs: dict[str, datetime] = {}
    missing = HandOffs(Fit.NOT_FOUND, {}, nearest)
    mine = [order for order in orders if {order.key, *(fill.batch.key for fill in order.fills)} & {*nearest.keys}]
    few = _due_last_first(mine)[:ONE_BY_ONE]
    others = [key for key in _due_last_first(orders) if key not in few]
    for keys in (*([key] for key in few), others):
        case = case_of(_batches(orders, hand_offs, now))
        if find_shortage(case):
            return missing
        hand_offs |= latest_of(case, keys)
    return missing if _shortage_at(hand_offs, orders, now, case_of) else HandOffs(Fit.FITS, hand_offs, None)


def _shortage_at(
    hand_offs: Mapping[str, datetime], orders: Sequence[OrderWork], now: datetime, case_of: Callable[..., Case]
) -> Shortage | None:
    return find_shortage(case_of(_batches(orders, hand_offs, now)))


def _batches(orders: Iterable[OrderWork], hand_offs: Mapping[str, datetime], now: datetime) -> list[Batch]:
    """With precedence where there is a hand-off."""
    return [
        batch
        for order in orders
        for batch in (
            handed_off(order, hand_offs[order.key], now) if order.key in hand_offs else _loose(order, now)
        )
    ]


def _lacking_first(chosen: Sequence[str], orders: Sequence[OrderWork], short: Shortage) -> list[str]:
    lacking = {order.key for order in orders if {fill.batch.key for fill in order.fills} & {*short.keys}}
    return sorted(chosen, key=lambda key: key not in lacking)


def _due_last_first(orders: Iterable[OrderWork]) -> list[str]:
    return [order.key for order in sorted(orders, key=lambda order: (-order.ready_by.timestamp(), order.key))]


def _loose(order: OrderWork, now: datetime) -> list[Batch]:
    """Without precedence: fills end, dried, by ready-by, and the tail begins whenever the last of them may."""
    fills = [
        replace(fill.batch, not_before=max(fill.batch.not_before, now), ready_by=order.ready_by - fill.dries)
        for fill in order.fills
    ]
    earliest = max((fill.batch.not_before + fill.dries for fill in order.fills), default=now)
    return [*fills, Batch(order.key, None, order.finish_seconds, max(earliest, now), order.ready_by)]


def handed_off(order: OrderWork, hand_off: datetime, now: datetime) -> list[Batch]:
    """Its fills, dried by the hand-off, and its tail from then on, under the order's key; nothing before now."""
    *fills, tail = _loose(order, now)
    fills = [replace(batch, ready_by=hand_off - fill.dries) for batch, fill in zip(fills, order.fills, strict=True)]
    return [*fills, replace(tail, not_before=hand_off)]
