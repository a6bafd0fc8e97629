"""This module says before which moment an order surely cannot be ready, from the hours of staff and filling points
that are free, without solving a flow."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.planning.arrays import IntArray, np
from app.planning.flow import HANDS_ONLY
from app.planning.moments import moment_of, seconds_up
from app.planning.order_work import OrderWork
from app.planning.placing import PLAN_HORIZON, STEP, PlacedOrders
from app.planning.schedule import Case

STEP_SECONDS = int(STEP.total_seconds())


@dataclass(frozen=True, slots=True)
class _FreeTime:
    """The free seconds of one resource: all hands, or the filling points of a gas.

    corners, seconds: how many hand-seconds there are from now to each corner. due, owed: how many of them the
    placed batches need by each moment at which one of them must be done.
    """

    corners: IntArray
    seconds: IntArray
    due: IntArray
    owed: IntArray

    def soonest(self, work: IntArray) -> IntArray:
        """Returns the first second by which there is time for this much more work, for each figure; the last corner
        when there never is."""
        wanted = work[:, None] + self.owed[None, :]
        place = np.minimum(np.searchsorted(self.seconds, wanted), len(self.seconds) - 1)
        before = np.maximum(place - 1, 0)
        rate = np.maximum((self.seconds[place] - self.seconds[before]), 1)
        length = self.corners[place] - self.corners[before]
        at = self.corners[before] + -(-np.maximum(wanted - self.seconds[before], 0) * length // rate)
        at = np.maximum(np.where(wanted > self.seconds[-1], self.corners[-1], at), self.due[None, :])
        in_time = at < np.append(self.due[1:], self.corners[-1] + 1)[None, :]
        first = np.where(in_time.any(axis=1), in_time.argmax(axis=1), len(self.due) - 1)
        return np.asarray(at[np.arange(len(work)), first], np.int64)


@dataclass(frozen=True, slots=True)
class Bounds:
    """What limits the orders that are left, beside those that are placed.

    filled, ready: by order key, moments before which its fills cannot be done and dry, and before which it cannot
    be ready. missed: how many at least miss the start of their event. lateness: how late they are together, at
    least, in whatever order they follow.
    """

    filled: Mapping[str, datetime]
    ready: Mapping[str, datetime]
    missed: int
    lateness: timedelta


def bounds_of(
    placed: PlacedOrders, left: Sequence[OrderWork], known: Mapping[str, datetime] | None = None
) -> Bounds:
    """Returns the bounds of the orders that are left; they hold for every schedule in which the placed ones are
    ready.

    known: moments before which their fills are known not to be done and dry. Of several orders, the one that is
    ready as number n is not ready before there is time for the n smallest.
    """
    if not left:
        return Bounds({}, {}, 0, timedelta())
    case, now = placed.case, placed.bench.now
    gases = {case.gases.index(fill.batch.gas) for order in left for fill in order.fills if fill.batch.gas}
    free = {number: _free_time(case, number, now) for number in (HANDS_ONLY, *sorted(gases))}
    works = {number: np.array([_work(order, number, case) for order in left]) for number in free}
    fills = np.array([_work(order, HANDS_ONLY, case, finishing=False) for order in left])
    begins = [
        max((fill.batch.not_before + fill.drying_time for fill in order.fills), default=now) for order in left
    ]
    of_gas = [free[number].soonest(works[number]) * (works[number] > 0) for number in free if number != HANDS_ONLY]
    known_at = [seconds_up((known or {}).get(order.key, now)) for order in left]
    filled = _latest(
        [seconds_up(max(at, now)) for at in begins], free[HANDS_ONLY].soonest(fills), *of_gas, known_at
    )
    finished = [
        placed.bench.hours.after(int(at), order.finish_seconds) for at, order in zip(filled, left, strict=True)
    ]
    ready = _latest(finished, free[HANDS_ONLY].soonest(works[HANDS_ONLY]))
    in_turn = _latest(np.sort(ready), *(free[number].soonest(np.cumsum(np.sort(works[number]))) for number in free))
    missed = _fewest_missed(left, works[HANDS_ONLY], ready, free[HANDS_ONLY])
    return _bounds(left, filled, ready, in_turn, missed)


def _fewest_missed(left: Sequence[OrderWork], works: IntArray, ready: IntArray, free: _FreeTime) -> int:
    """Returns how many of the orders at least miss the start of their event, if all staff could work on each.

    Those that can are added by that start; whenever it gets too late for one, the one with the most work is left
    out (Moore, Management Science 15, 102, 1968).
    """
    cannot = [order.misses_start(moment_of(int(at))) for order, at in zip(left, ready, strict=True)]
    starts = [
        (seconds_up(order.latest_for_start), int(work))
        for order, work, late in zip(left, works, cannot, strict=True)
        if not late and order.latest_for_start and order.ready_by <= order.latest_for_start
    ]
    taken: list[int] = []
    for start, work in sorted(starts):
        taken.append(work)
        if free.soonest(np.array([sum(taken)]))[0] > start:
            taken.remove(max(taken))
    return sum(cannot) + len(starts) - len(taken)


def _bounds(left: Sequence[OrderWork], filled: IntArray, ready: IntArray, in_turn: IntArray, missed: int) -> Bounds:
    """Returns the bounds as moments. in_turn: when the first, the second, … of them can be ready."""
    due = np.array([seconds_up(order.ready_by) for order in left], np.int64)
    on_steps = due - (due - ready) // STEP_SECONDS * STEP_SECONDS
    if len({*(due % STEP_SECONDS).tolist()}) == 1:
        in_turn = due[0] - (due[0] - in_turn) // STEP_SECONDS * STEP_SECONDS
    together = int(in_turn.sum() - due.sum())
    alone = int(np.maximum(on_steps - due, 0).sum())
    return Bounds(
        {order.key: moment_of(int(at)) for order, at in zip(left, filled, strict=True)},
        {order.key: moment_of(int(at)) for order, at in zip(left, ready, strict=True)},
        missed,
        timedelta(seconds=max(together, alone, 0)),
    )


def _latest(*columns: Iterable[int] | IntArray) -> IntArray:
    return np.asarray(np.max([np.asarray(column, np.int64) for column in columns], axis=0), np.int64)


def _work(order: OrderWork, gas: int, case: Case, *, finishing: bool = True) -> int:
    """Returns the hand-seconds that an order needs of a gas; of all hands, its finishing too if that is wanted."""
    name = None if gas == HANDS_ONLY else case.gases[gas]
    seconds = [-int(-fill.batch.work_seconds // 1) for fill in order.fills if name in (None, fill.batch.gas)]
    return sum(seconds) + (-int(-order.finish_seconds // 1) if finishing and name is None else 0)


def _free_time(case: Case, gas: int, now: datetime) -> _FreeTime:
    """Returns the free time of a gas, or of all hands, from now on."""
    first, bench = seconds_up(now), case.bench
    rate = bench.hands if gas == HANDS_ONLY else np.minimum(bench.hands, bench.points[gas])
    starts, ends = np.maximum(bench.starts, first), np.maximum(bench.ends, first)
    last = max(first, int(ends.max(initial=first)), *case.load.ends.tolist(), first) + _BEYOND
    corners = np.concatenate(([first], np.stack((starts, ends), axis=1).ravel(), [last]))
    seconds = np.concatenate(([0], np.cumsum(np.stack((starts * 0, (ends - starts) * rate), axis=1).ravel())))
    mine = np.ones(len(case.load.work), bool) if gas == HANDS_ONLY else case.load.gas == gas
    order = np.argsort(case.load.ends[mine], kind="stable")
    due, work = np.maximum(case.load.ends[mine][order], first), case.load.work[mine][order]
    owed = np.concatenate(([0], np.cumsum(work)))
    return _FreeTime(corners, np.append(seconds, seconds[-1]), np.concatenate(([first], due)), owed)


_BEYOND = int(PLAN_HORIZON.total_seconds())
