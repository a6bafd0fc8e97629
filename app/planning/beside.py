"""This module asks again and again whether further orders fit on a bench beside the orders that it has.

What all orders are short of is proved by a flow of their work. The flow of the orders is kept, and the work of the
further ones is added to a copy of it. Orders that share no time with the further ones are answered once.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache, cached_property

from app.planning.due_first import fill_due_first
from app.planning.finishing import FinishStarts, Fit, Search, joined, solve_group
from app.planning.kept_flow import KeptFlow
from app.planning.order_work import OrderWork, groups_sharing_no_time, without_precedence
from app.planning.schedule import Case, Shortage, shortage_in


@dataclass(frozen=True, slots=True)
class OrdersFlow:
    """As much of the work of orders as fits on a bench when finishing need not wait for the fills. work: by order,
    the hand-seconds of each batch by its key."""

    empty: Case
    flow: KeptFlow
    work: Mapping[str, Mapping[str, int]]

    @classmethod
    def of(cls, empty: Case, orders: Iterable[OrderWork], now: datetime) -> "OrdersFlow":
        """Returns the flow of these orders on a bench without batches."""
        return cls(empty, KeptFlow.empty(empty.bench), {}).with_more(orders, now)

    def with_more(self, orders: Iterable[OrderWork], now: datetime) -> "OrdersFlow":
        """Returns the flow of further orders beside these."""
        batches = {order.key: without_precedence(order, now) for order in orders}
        jobs = self.empty.with_batches([batch for each in batches.values() for batch in each]).jobs()
        work = {key: {batch.key: jobs[batch.key].left for batch in each} for key, each in batches.items()}
        flow = self.flow.copy()
        fill_due_first(flow, jobs)
        return OrdersFlow(self.empty, flow, {**self.work, **work})

    def shortage(self, orders: Iterable[OrderWork]) -> Shortage | None:
        """Returns the proof that these orders, which share no time with the others, do not fit; None if there is
        none."""
        work = {key: seconds for order in orders for key, seconds in self.work[order.key].items()}
        return shortage_in(self.flow, work, self.empty.gases)


@dataclass(frozen=True)
class BesideOrders:
    """Orders on a bench, which is given as a case without batches. like: the same orders on a bench that lacks some
    of this one's hands or points, whose flow may be kept already."""

    empty: Case
    orders: tuple[OrderWork, ...]
    now: datetime
    like: "BesideOrders | None" = None

    @property
    def alone(self) -> FinishStarts:
        """The starts of finishing of these orders alone."""
        return joined(self._groups.values())

    def with_more(self, more: Sequence[OrderWork]) -> FinishStarts:
        """Returns what `find_finish_starts` finds for these orders and the further ones."""
        found, with_all = list[FinishStarts](), cache(lambda: self._flow.with_more(more, self.now))

        def prove(orders: Sequence[OrderWork]) -> Shortage | None:
            return with_all().shortage(orders)

        keys = {order.key for order in more}
        for group in groups_sharing_no_time([*self.orders, *more], self.now):
            if keys.isdisjoint(order.key for order in group):
                found.append(self._groups[group[0].key])
            else:
                is_unfit = any(order.key in self._unfit for order in group)
                found.append(solve_group(Search(self.empty, group, self.now, prove, is_unfit)))
        return joined(found)

    @cached_property
    def _flow(self) -> OrdersFlow:
        if self.like:
            known = self.like._flow
            return OrdersFlow(self.empty, known.flow.on(self.empty.bench), known.work)
        return OrdersFlow.of(self.empty, self.orders, self.now)

    @cached_property
    def _groups(self) -> dict[str, FinishStarts]:
        """The starts of finishing of each group of orders that share no time with others, by its first order."""
        groups = groups_sharing_no_time(self.orders, self.now)
        return {group[0].key: solve_group(Search(self.empty, group, self.now, self._prove)) for group in groups}

    def _prove(self, orders: Sequence[OrderWork]) -> Shortage | None:
        return self._flow.shortage(orders)

    @cached_property
    def _unfit(self) -> frozenset[str]:
        """The orders that cannot be ready together even without further ones."""
        proved = (conflict.orders for conflict in self.alone.conflicts if conflict.fit is Fit.CANNOT)
        return frozenset().union(*proved)
