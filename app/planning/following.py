"""This module decides in which order the late orders follow on the bench, each placed as soon as can be."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

from app.planning.order_work import OrderWork
from app.planning.placing import PlacedOrders, Placement
from app.planning.soonest_bounds import Bounds, bounds_of

EXACT_UP_TO = 8
"""The most late orders of which every sequence is considered."""
NEVER = datetime(9999, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True, order=True)
class Loss:
    """How bad it is that orders are late: first, how many miss the start of their event; then how late they are
    together."""

    missed: int = 0
    lateness: timedelta = timedelta()

    def __add__(self, other: "Loss") -> "Loss":
        return Loss(self.missed + other.missed, self.lateness + other.lateness)

    @classmethod
    def of(cls, placement: Placement) -> "Loss":
        """Returns the loss of one order."""
        return cls(int(placement.misses_start), placement.lateness)

    @classmethod
    def at_least(cls, bounds: Bounds) -> "Loss":
        """Returns a loss that no sequence within these bounds goes below."""
        return cls(bounds.missed, bounds.lateness)

    def limit(self, *, equal_is_better: bool) -> "Loss":
        """Returns the limit below which another loss is better than this one."""
        return replace(self, lateness=self.lateness + timedelta.resolution) if equal_is_better else self


@dataclass(frozen=True, slots=True)
class Following:
    """Late orders in the sequence in which they follow, and the bench with all of them."""

    loss: Loss
    placements: tuple[Placement, ...]
    placed: PlacedOrders

    @property
    def late(self) -> int:
        """How many of them are not in time after all."""
        return sum(placement.is_late for placement in self.placements)

    def then(self, order: OrderWork, bounds: Bounds, before: Placement | None = None) -> "Following":
        """Returns the same with one more order, as soon as can be. before: where it was beside fewer orders."""
        filled_from, ready_from = bounds.filled[order.key], bounds.ready[order.key]
        return self._with(self.placed.soonest(order, filled_from, ready_from, before))

    def and_in_time(self, order: OrderWork) -> "Following | None":
        """Returns the same with one more order if that can be in time."""
        now = self.placed.bench.now
        placement = self.placed.soonest(order, now, now, within=timedelta())
        return None if placement.is_late else self._with(placement)

    def and_then(self, orders: Iterable[OrderWork]) -> "Following":
        """Returns the same with these orders in this sequence, each as soon as those before it allow."""
        longer, now = self, self.placed.bench.now
        for order in orders:
            longer = longer._with(longer.placed.soonest(order, now, now))
        return longer

    def _with(self, placement: Placement) -> "Following":
        return Following(
            self.loss + Loss.of(placement), (*self.placements, placement), self.placed.with_placement(placement)
        )


def best_following(
    placed: PlacedOrders, orders: Sequence[OrderWork], limit: Loss | None = None, exact_up_to: int = EXACT_UP_TO
) -> Following | None:
    """Returns the sequence of the orders with the least loss, if that is below the limit.

    Of up to so many orders, no sequence has a smaller loss (branch and bound). Of more, it is the best of three
    sequences, each of which begins with those that can still be in time: by ready-by, by the start of the event,
    and those with the least work first.
    """
    none = Following(Loss(), (), placed)
    if len(orders) <= exact_up_to:
        search = _SequenceSearch(limit)
        search.extend(none, orders, {})
        return search.best
    best = min(_simple(none, orders), key=lambda one: (one.late, one.loss))
    return best if limit is None or best.loss < limit else None


def by_due(orders: Iterable[OrderWork]) -> list[OrderWork]:
    """Returns the orders by their ready-by, then by key."""
    return sorted(orders, key=lambda order: (order.ready_by, order.key))


def work_of(order: OrderWork) -> float:
    """Returns the hand-seconds of an order, filling and finishing."""
    return sum(fill.batch.work_seconds for fill in order.fills) + order.finish_seconds


def _simple(none: Following, orders: Sequence[OrderWork]) -> Iterator[Following]:
    """Yields the three sequences that are tried when there are too many, equal ones only once."""
    for order in (due := by_due(orders)):
        none = none.and_in_time(order) or none
    saved = {placement.order.key for placement in none.placements}
    others = [order for order in due if order.key not in saved]
    by_start = sorted(others, key=lambda order: order.latest_for_start or order.ready_by)
    sequences = {tuple(order.key for order in one): one for one in (others, by_start, sorted(others, key=work_of))}
    for sequence in sequences.values():
        yield none.and_then(sequence)


@dataclass(slots=True)
class _SequenceSearch:
    """The search for the sequence with the least loss. limit: only what is below it is wanted."""

    limit: Loss | None
    best: Following | None = field(default=None)

    def extend(
        self,
        so_far: Following,
        left: Sequence[OrderWork],
        before: Mapping[str, Placement],
        tried: frozenset[str] = frozenset(),
    ) -> None:
        """Tries all sequences that begin like this, except those that are surely no better than the best one.

        before: where each order would be if it came before the last one. tried: those that were tried there. One of
        them that would be in the same place now leads to nothing new: in whichever sequence these two come, both
        are where they are now. Of orders of one shape, the one with the first key comes first.
        """
        bounds = bounds_of(so_far.placed, left, _filled(before))
        if not self._is_open(so_far.loss, bounds):
            return
        if not left:
            self.best, self.limit = so_far, so_far.loss
            return
        longer = {order.key: so_far.then(order, bounds, before.get(order.key)) for order in by_due(left)}
        here = {key: one.placements[-1] for key, one in longer.items()}
        bounds = bounds_of(so_far.placed, left, _filled(here))
        known = frozenset(key for key in tried if here[key] == before[key])
        first_of_shape = {
            order.shape: order.key for order in sorted(left, key=lambda order: order.key, reverse=True)
        }
        for key in sorted(
            first_of_shape.values(), key=lambda key: (here[key].ready_at or NEVER, here[key].order.ready_by, key)
        ):
            if not self._is_open(so_far.loss, bounds):
                return
            if key not in known:
                self.extend(
                    longer[key],
                    [one for one in left if one.key != key],
                    {other: at for other, at in here.items() if other != key},
                    known,
                )
                known |= {key}

    def _is_open(self, so_far: Loss, bounds: Bounds) -> bool:
        return self.limit is None or so_far + Loss.at_least(bounds) < self.limit


def _filled(placements: Mapping[str, Placement]) -> dict[str, datetime]:
    return {key: placement.finish_start or NEVER for key, placement in placements.items()}
