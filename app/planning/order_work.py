"""This module says which work the bench must still do for an order: its fills, then its finishing."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.planning.schedule import Batch, Shortage


@dataclass(frozen=True, slots=True)
class FillJob:
    """A batch and how long it dries after filling.

    It must be filled and dry by its order's start of finishing; the batch's own ready_by does not count.
    """

    batch: Batch
    drying_time: timedelta = timedelta()


@dataclass(frozen=True, slots=True)
class OrderWork:
    """The work that the bench must still do for an order.

    finish_seconds: hand-seconds of its finishing. latest_for_start, latest_for_end: when it must be ready to be at
    its event before that starts, and before that is over; None if there is no such moment. Only `look_ahead` asks
    for these two, of orders that are late.
    """

    key: str
    fills: tuple[FillJob, ...]
    finish_seconds: float
    ready_by: datetime
    latest_for_start: datetime | None = None
    latest_for_end: datetime | None = None

    @property
    def shape(self) -> tuple[object, ...]:
        """All that tells it from other orders on the bench, but the keys: orders of one shape can be swapped."""
        fills = tuple(
            (job.batch.gas, job.batch.work_seconds, job.batch.not_before, job.drying_time) for job in self.fills
        )
        return fills, self.finish_seconds, self.ready_by, self.latest_for_start, self.latest_for_end

    def misses_start(self, ready_at: datetime) -> bool:
        """Returns whether it is ready too late for the start of its event. An order that is wanted only after that
        start cannot miss it."""
        latest = self.latest_for_start
        return latest is not None and self.ready_by <= latest < ready_at


Prove = Callable[[Sequence[OrderWork]], Shortage | None]
"""Returns the proof that these orders cannot all be ready; None if there is none."""


def without_precedence(order: OrderWork, now: datetime) -> list[Batch]:
    """Returns the batches of an order when finishing need not wait for the fills, its finishing as the last batch.

    Fills must be dry by the order's ready-by; finishing may begin when the last fill could be dry at the earliest.
    """
    return [*_fills(order, order.ready_by, now), finishing_of(order, now)]


def with_precedence(order: OrderWork, finish_start: datetime, now: datetime) -> list[Batch]:
    """Returns the batches of an order whose finishing starts at finish_start, its finishing as the last batch.

    Its fills must be dry by then. The finishing has the order's key. Nothing begins before now.
    """
    finishing = Batch(order.key, None, order.finish_seconds, finish_start, order.ready_by)
    return [*_fills(order, finish_start, now), finishing]


def finishing_of(order: OrderWork, now: datetime) -> Batch:
    """Returns the finishing of an order, from the moment at which the last fill could be dry at the earliest."""
    earliest = max((fill.batch.not_before + fill.drying_time for fill in order.fills), default=now)
    return Batch(order.key, None, order.finish_seconds, max(earliest, now), order.ready_by)


def batches_of(orders: Iterable[OrderWork], finish_starts: Mapping[str, datetime], now: datetime) -> list[Batch]:
    """Returns the batches of all orders, with precedence for those that have a start of finishing."""
    return [
        batch
        for order in orders
        for batch in (
            with_precedence(order, finish_starts[order.key], now)
            if order.key in finish_starts
            else without_precedence(order, now)
        )
    ]


def groups_sharing_no_time(orders: Iterable[OrderWork], now: datetime) -> list[list[OrderWork]]:
    """Returns the orders in groups that share no time, from the earliest begin of their work to their ready-by."""
    begins = {
        order.key: max(min((fill.batch.not_before for fill in order.fills), default=now), now) for order in orders
    }
    groups, group_end = list[list[OrderWork]](), now
    for order in sorted(orders, key=lambda order: (begins[order.key], order.key)):
        if not groups or begins[order.key] >= group_end:
            groups.append([])
        groups[-1].append(order)
        group_end = max(group_end, order.ready_by)
    return groups


def orders_in(orders: Iterable[OrderWork], keys: Set[str]) -> list[OrderWork]:
    """Returns the orders of which a fill or the finishing has one of these keys."""
    return [order for order in orders if keys & {order.key, *(fill.batch.key for fill in order.fills)}]


def _fills(order: OrderWork, dry_by: datetime, now: datetime) -> Iterator[Batch]:
    """Yields the fills of an order, which must be dry by a moment."""
    for fill in order.fills:
        batch, done_by = fill.batch, dry_by - fill.drying_time
        yield Batch(batch.key, batch.gas, batch.work_seconds, max(batch.not_before, now), done_by)
