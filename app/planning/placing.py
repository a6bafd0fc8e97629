"""This module places late orders on the bench as soon as can be, one after another, beside those that are placed
already."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property

from app.planning.finishing import FinishStarts, Solved, finish_starts_on
from app.planning.moments import moment_of, seconds_up
from app.planning.order_work import OrderWork, finishing_of, with_precedence
from app.planning.room import Room
from app.planning.schedule import Absence, Batch, Case, Shift, Shortage
from app.planning.staff_hours import StaffHours

STEP = timedelta(minutes=5)
PLAN_HORIZON = timedelta(days=7)
SEARCH_EFFORT = 400


@dataclass(frozen=True)
class BenchAhead:
    """The bench from now on, which can be asked whether orders or batches fit on it. It keeps what it found, so it
    is asked about one lot of orders only, each with a key of its own."""

    shifts: Sequence[Shift]
    points: Mapping[str, int]
    now: datetime
    absences: Sequence[Absence]

    def finish_starts(
        self, orders: Sequence[OrderWork], effort: int = SEARCH_EFFORT, *, can_fit: bool = False
    ) -> FinishStarts:
        """Returns when the finishing of each of these orders starts, or which of them conflict. can_fit: whether it
        is known that all of them fit without precedence."""
        return finish_starts_on(self.empty, orders, self.now, effort, can_fit=can_fit, solved=self._solved)

    @cached_property
    def _solved(self) -> Solved:
        return {}

    @cached_property
    def empty(self) -> Case:
        """The bench without any batch."""
        return Case.of((), self.shifts, self.points, self.absences)

    @cached_property
    def room(self) -> Room:
        """The room for further batches."""
        return Room.of(self.empty)

    @cached_property
    def hours(self) -> StaffHours:
        """The hours of all staff."""
        return StaffHours.of(self.empty.bench)

    def finished(self, start: datetime, order: OrderWork) -> datetime:
        """Returns when the finishing of an order is done if all staff do nothing else from its start on."""
        return moment_of(self.hours.after(seconds_up(start), order.finish_seconds))


@dataclass(frozen=True, slots=True)
class Placement:
    """Where an order was placed. Both moments are None when it is not ready within the horizon."""

    order: OrderWork
    finish_start: datetime | None = None
    ready_at: datetime | None = None

    @property
    def lateness(self) -> timedelta:
        """How long after its ready-by it is ready, at least 0; the horizon when it is never ready."""
        return max(self.ready_at - self.order.ready_by, timedelta()) if self.ready_at else PLAN_HORIZON

    @property
    def is_late(self) -> bool:
        """Whether it is not ready by its ready-by."""
        return self.lateness > timedelta()

    @property
    def misses_start(self) -> bool:
        """Whether it is ready too late for the start of its event."""
        return self.ready_at is None or self.order.misses_start(self.ready_at)


@dataclass(frozen=True)
class PlacedOrders:
    """The orders that are placed on the bench, with fixed starts of finishing."""

    bench: BenchAhead
    finish_starts: Mapping[str, datetime]
    batches: tuple[Batch, ...]

    @classmethod
    def of(
        cls, bench: BenchAhead, orders: Sequence[OrderWork], finish_starts: Mapping[str, datetime]
    ) -> "PlacedOrders":
        """Returns these orders, each with its start of finishing."""
        batches = tuple(
            batch for order in orders for batch in with_precedence(order, finish_starts[order.key], bench.now)
        )
        return cls(bench, finish_starts, batches)

    @cached_property
    def case(self) -> Case:
        """The case of their batches."""
        return self.bench.empty.with_batches(self.batches)

    def soonest(
        self,
        order: OrderWork,
        filled_from: datetime,
        ready_from: datetime,
        before: Placement | None = None,
        within: timedelta = PLAN_HORIZON,
    ) -> Placement:
        """Returns where a further order is ready as soon as can be, in steps of five minutes from its ready-by.

        Its finishing starts as soon as its fills can be done and dry, and it is ready as soon as the finishing can
        be done after that. filled_from, ready_from: moments before which neither can be. before: where it was ready
        as soon as could be beside fewer orders. within: how long after its ready-by, or from now on, it is sought.
        """
        now = self.bench.now
        most = (within + max(now - order.ready_by, timedelta())) // STEP

        def at(steps: int) -> datetime:
            return order.ready_by + steps * STEP

        filled_from = max(filled_from, _next_second(finishing_of(order, now).not_before))
        least = _steps_up(filled_from - order.ready_by)
        filled = self._first_fit(with_precedence(order, at(least), now)[:-1], (), least, most)
        if filled is None:
            return Placement(order)
        if before and before.ready_at and before.finish_start == at(filled):
            ready_from = max(ready_from, before.ready_at)
        ready_from = max(ready_from, self.bench.finished(at(filled), order))
        least = max(filled, _steps_up(ready_from - order.ready_by))
        *fills, finishing = with_precedence(order, at(filled), now)
        ready = self._first_fit([replace(finishing, ready_by=at(least))], fills, least, most)
        return Placement(order) if ready is None else Placement(order, at(filled), at(ready))

    def with_placement(self, placement: Placement) -> "PlacedOrders":
        """Returns these orders and one more; it need not be ready before its ready-by."""
        order, finish_start, ready_at = placement.order, placement.finish_start, placement.ready_at
        if finish_start is None or ready_at is None:
            return self
        kept = replace(order, ready_by=max(ready_at, order.ready_by))
        more = with_precedence(kept, finish_start, self.bench.now)
        finish_starts = {**self.finish_starts, order.key: finish_start}
        return PlacedOrders(self.bench, finish_starts, (*self.batches, *more))

    def shortage_of(self, placement: Placement) -> Shortage | None:
        """Returns what is short when the placed order must be ready by its own ready-by; None when nothing is."""
        order, at = placement.order, placement.finish_start
        finish_start = min(at, order.ready_by) if at else order.ready_by
        more = with_precedence(order, finish_start, self.bench.now)
        found = self.bench.room.too_much(more, self.batches)
        return found.shortage(self.bench.empty, (*self.batches, *more)) if found else None

    def _first_fit(self, more: Sequence[Batch], beside: Sequence[Batch], least: int, most: int) -> int | None:
        """Returns the first number of steps up to most at which further batches fit too, beside these; None when
        there is none. more: as they are with the least number of steps."""
        step = int(STEP.total_seconds())
        steps = self.bench.room.steps_for(more, self.batches, beside, step, most - least)
        return None if steps is None else least + steps


def _steps_up(after: timedelta) -> int:
    return -(-after // STEP)


def _next_second(moment: datetime) -> datetime:
    return moment_of(seconds_up(moment))
