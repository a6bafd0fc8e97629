"""The bench with every order's tail: its fills end by a start of finishing, dry, and its finish work begins at it.

With this precedence no single flow answers. Three answers are given: a plan with starts of finishing was found (it
fits); it does not fit even without precedence (it cannot, and the minimum cut is the proof); or neither (not
found).
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from functools import partial

from app.planning.schedule import (
    Absence,
    Batch,
    Case,
    Plan,
    Shift,
    Shortage,
    find_shortage,
    finishing_fits,
    latest_of,
    make_plan,
)

TRIES, ONE_BY_ONE = 7, 8
EFFORT = 100
NEAR = timedelta(hours=12)


class Fit(StrEnum):
    FITS = "fits"
    CANNOT = "cannot"
    NOT_FOUND = "not found"


@dataclass(frozen=True, slots=True)
class FillJob:
    """A batch and how long it dries; the batch must end, dried, by its order's start of finishing whatever its
    ready-by."""

    batch: Batch
    dries: timedelta = timedelta()


@dataclass(frozen=True, slots=True)
class OrderWork:
    """What an order still asks of the bench. finish_seconds: hand-seconds of its tail."""

    key: str
    fills: tuple[FillJob, ...]
    finish_seconds: float
    ready_by: datetime


@dataclass(frozen=True, slots=True)
class Conflict:
    """Orders that share time and do not fit, or for which nothing was found; then shortage is that of the nearest
    try."""

    fit: Fit
    shortage: Shortage
    orders: frozenset[str]


@dataclass(frozen=True, slots=True)
class FinishStarts:
    """by_order: when each order's finish work begins, where all fit. lacks: who does not."""

    by_order: Mapping[str, datetime]
    lacks: tuple[Conflict, ...] = ()

    @property
    def fit(self) -> Fit:
        """One proof is enough."""
        balloon_types = {lack.fit for lack in self.lacks}
        return next(
            (balloon_type for balloon_type in (Fit.CANNOT, Fit.NOT_FOUND) if balloon_type in balloon_types),
            Fit.FITS,
        )

    @property
    def shortage(self) -> Shortage | None:
        """What speaks against it, of the first such lack; all its seconds are those of all such lacks."""
        first = next((lack.shortage for lack in self.lacks if lack.fit is self.fit), None)
        return replace(first, all_seconds=self.seconds(self.fit)) if first else None

    def seconds(self, fit: Fit) -> int:
        """Hand-seconds that the lacks of this kind come to."""
        return sum(lack.shortage.all_seconds for lack in self.lacks if lack.fit is fit)


@dataclass(frozen=True, slots=True)
class BenchAnswer:
    """plan is empty unless it fits; a tail has its order's key."""

    fit: Fit
    plan: Plan
    finish_starts: Mapping[str, datetime]
    shortage: Shortage | None


def plan_orders(
    orders: Sequence[OrderWork],
    shifts: Sequence[Shift],
    points: Mapping[str, int],
    now: datetime,
    away: Sequence[Absence] = (),
) -> BenchAnswer:
    """Whether all orders can be ready, tails included, and the latest plan if so. Nothing begins before now.
    Raises ValueError like `make_plan`."""
    found = find_finish_starts(orders, shifts, points, now, away)
    if found.fit is not Fit.FITS:
        short = found.shortage.all_seconds if found.shortage else 0
        return BenchAnswer(found.fit, Plan(False, short, {}, ()), {}, found.shortage)
    plan = make_plan(_batches(orders, found.by_order, now), shifts, points, away)
    return BenchAnswer(found.fit, plan, found.by_order, None)


def find_finish_starts(
    orders: Sequence[OrderWork],
    shifts: Sequence[Shift],
    points: Mapping[str, int],
    now: datetime,
    away: Sequence[Absence] = (),
    effort: int = EFFORT,
) -> FinishStarts:
    """Whether all orders can be ready, tails included.

    Tails are first laid one after another at the end, with all hands: one flow, when that fits. Where it does not,
    orders that share no time are answered for apart. Where tails at the end leave some fills too little room, and
    the bench could fit without precedence, starts of finishing are set as late as all others allow, order by order,
    those that lack room choosing first, a few times over; at last one by one. effort: how many starts of finishing
    may be chosen in these further ways among orders that share time, orders times tries; a measure of time that is
    the same on every machine.
    """
    case_of = partial(Case.of, shifts=shifts, points=points, away=away)
    finish_starts, short, sound = _laid_last(orders, now, case_of)
    if sound:
        return FinishStarts(finish_starts)
    groups = _apart(orders, now)
    if len(groups) == 1:
        return _searched(_Search(orders, now, case_of, effort), finish_starts, short)
    found = [_together(_Search(group, now, case_of, effort)) for group in groups]
    lacks = tuple(lack for one in found for lack in one.lacks)
    return FinishStarts({} if lacks else {key: at for one in found for key, at in one.by_order.items()}, lacks)


def _apart(orders: Iterable[OrderWork], now: datetime) -> list[list[OrderWork]]:
    """Orders in groups that share no time, from when the first of their work may begin to their ready-by."""
    begins = {order.key: min(batch.not_before for batch in _loose(order, now)) for order in orders}
    groups, until = list[list[OrderWork]](), now
    for order in sorted(orders, key=lambda order: (begins[order.key], order.key)):
        if not groups or begins[order.key] >= until:
            groups.append([])
        groups[-1].append(order)
        until = max(until, order.ready_by)
    return groups


@dataclass(frozen=True, slots=True)
class _Search:
    """Orders that share time, and the effort at their starts of finishing."""

    orders: Sequence[OrderWork]
    now: datetime
    case_of: Callable[..., Case]
    effort: int

    def tries(self, number: int) -> int:
        """How often so many starts of finishing may be chosen."""
        return min(self.effort // number, TRIES)

    def case(self, finish_starts: Mapping[str, datetime]) -> Case:
        return self.case_of(_batches(self.orders, finish_starts, self.now))

    def lacking(self, fit: Fit, shortage: Shortage) -> FinishStarts:
        return FinishStarts({}, (Conflict(fit, shortage, frozenset(order.key for order in self.orders)),))


def _together(search: _Search) -> FinishStarts:
    laid, short, sound = _laid_last(search.orders, search.now, search.case_of)
    return FinishStarts(laid) if sound else _searched(search, laid, short)


def _searched(search: _Search, laid: Mapping[str, datetime], short: Shortage | None) -> FinishStarts:
    """Other starts of finishing than the laid ones, with which something is short. Of many orders only those due
    near a shortage choose anew at first."""
    if proof := find_shortage(search.case({})):
        return search.lacking(Fit.CANNOT, proof)
    missed = [short] if short else []
    if search.effort and search.tries(len(search.orders)) < TRIES and (settled := _far_from_short(search, laid)):
        found = _chosen_anew(search, settled, missed)
        if found.fit is Fit.FITS:
            return found
    return _chosen_anew(search, {}, missed)


def _far_from_short(search: _Search, laid: Mapping[str, datetime]) -> dict[str, datetime]:
    """The laid starts of finishing without those of orders due near what is short, so that nothing is; empty where
    too few would be left."""
    finishings = [_loose(order, search.now)[-1] for order in search.orders]
    settled = {
        finishing.key: laid[finishing.key]
        for finishing in finishings
        if finishing.not_before <= laid[finishing.key]
    }
    while short := find_shortage(search.case(settled)):
        due = [order.ready_by for order in _named(search.orders, short)]
        first, last = min(due) - NEAR, max(due) + NEAR
        near = {finishing.key for finishing in finishings if first <= finishing.ready_by <= last}
        if near.isdisjoint(settled) or not search.tries(
            len({finishing.key for finishing in finishings} - settled.keys() | near)
        ):
            return {}
        settled = {key: at for key, at in settled.items() if key not in near}
    return settled


def _chosen_anew(search: _Search, settled: Mapping[str, datetime], before: Sequence[Shortage]) -> FinishStarts:
    """All starts of finishing but the settled ones, with which the bench fits as long as no other is chosen.
    before: what was missing in the tries before."""
    chosen, missed = _due_last_first(order for order in search.orders if order.key not in settled), [*before]
    tries, without = search.tries(len(chosen)), search.case(settled)
    while not missed or len(missed) < tries:
        chosen = _lacking_first(chosen, search.orders, missed[-1]) if len(missed) > 1 else chosen
        finish_starts = {**settled, **latest_of(without, chosen)}
        short = find_shortage(search.case(finish_starts))
        if short is None:
            return FinishStarts(finish_starts)
        missed.append(short)
    nearest = min(missed, key=lambda one: one.all_seconds)
    finish_starts = _one_by_one(search, settled, nearest) if tries == TRIES else {}
    return FinishStarts(finish_starts) if finish_starts else search.lacking(Fit.NOT_FOUND, nearest)


def _one_by_one(search: _Search, settled: Mapping[str, datetime], nearest: Shortage) -> dict[str, datetime]:
    """Those in the nearest shortage choose first, each while the fills of those before it keep their starts of
    finishing; empty where that does not fit."""
    finish_starts = {**settled}
    few = [key for key in _due_last_first(_named(search.orders, nearest)) if key not in settled][:ONE_BY_ONE]
    others = [key for key in _due_last_first(search.orders) if key not in {*few, *settled}]
    for keys in (*([key] for key in few), others):
        case = search.case(finish_starts)
        if find_shortage(case):
            return {}
        finish_starts |= latest_of(case, keys)
    return {} if find_shortage(search.case(finish_starts)) else finish_starts


def _named(orders: Iterable[OrderWork], short: Shortage) -> list[OrderWork]:
    keys = {*short.keys}
    return [order for order in orders if keys & {order.key, *(fill.batch.key for fill in order.fills)}]


def _laid_last(
    orders: Sequence[OrderWork], now: datetime, case_of: Callable[..., Case]
) -> tuple[Mapping[str, datetime], Shortage | None, bool]:
    """Hand-offs with the tails at the end, what is missing with them, and whether they are an answer: within the
    loose windows, so that these need not be asked."""
    finishings = [finishing for *_, finishing in (_loose(order, now) for order in orders)]
    finish_starts = finishing_fits(case_of(finishings), _due_last_first(orders))
    short = find_shortage(case_of(_batches(orders, finish_starts, now)))
    sound = short is None and all(finishing.not_before <= finish_starts[finishing.key] for finishing in finishings)
    return finish_starts, short, sound


def _batches(orders: Iterable[OrderWork], finish_starts: Mapping[str, datetime], now: datetime) -> list[Batch]:
    """With precedence where there is a start of finishing."""
    return [
        batch
        for order in orders
        for batch in (
            finish_start_of(order, finish_starts[order.key], now)
            if order.key in finish_starts
            else _loose(order, now)
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


def finish_start_of(order: OrderWork, finish_start: datetime, now: datetime) -> list[Batch]:
    """Its fills, dried by the start of finishing, and its tail from then on, under the order's key; nothing before
    now."""
    *fills, finishing = _loose(order, now)
    fills = [
        replace(batch, ready_by=finish_start - fill.dries) for batch, fill in zip(fills, order.fills, strict=True)
    ]
    return [*fills, replace(finishing, not_before=finish_start)]
