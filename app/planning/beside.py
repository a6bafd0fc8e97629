"""This module asks again and again whether further orders fit on a bench beside the orders that it has.

What all orders are short of is proved by a flow of their work. The flow of the orders is kept, and the work of the
further ones is added to a copy of it. Orders that share no time with the further ones are answered once.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cache, cached_property

from app.planning.arrays import np
from app.planning.due_first import fill_due_first, fill_rest
from app.planning.finishing import FinishStarts, Fit, Search, joined, solve_group
from app.planning.kept_flow import KeptFlow
from app.planning.order_work import OrderWork, Prove, groups_sharing_no_time, without_precedence
from app.planning.schedule import Case, Shortage
from app.planning.too_much import shortage_in


@dataclass(frozen=True, slots=True)
class OrdersFlow:
    """As much of the work of orders as fits on a bench when finishing need not wait for the fills. orders: by their
    keys. work: by order, the hand-seconds of each batch by its key."""

    empty: Case
    now: datetime
    flow: KeptFlow
    orders: Mapping[str, OrderWork] = field(default_factory=dict)
    work: Mapping[str, Mapping[str, int]] = field(default_factory=dict)

    @classmethod
    def on(cls, empty: Case, now: datetime) -> "OrdersFlow":
        """Returns the flow on a bench that has no orders."""
        return cls(empty, now, KeptFlow.empty(empty.bench))

    def is_on(self, empty: Case, now: datetime) -> bool:
        """Returns whether it is a flow on this bench, from this moment on."""
        mine, other = ((one.starts, one.ends, one.hands, one.points) for one in (self.empty.bench, empty.bench))
        return now == self.now and empty.gases == self.empty.gases and all(map(np.array_equal, mine, other))

    def of_orders(self, orders: Iterable[OrderWork]) -> "OrdersFlow":
        """Returns the flow of these orders instead. As much fits as in a new one, but what is in both stays."""
        wanted = {order.key: order for order in orders}
        stay = {key: order for key, order in self.orders.items() if wanted.get(key) == order}
        flow = self.flow.copy()
        for key in self.orders.keys() - stay.keys():
            for batch in self.work[key]:
                flow.remove(batch)
        fill_rest(flow)
        rest = OrdersFlow(self.empty, self.now, flow, stay, {key: self.work[key] for key in stay})
        return rest.with_more([order for key, order in wanted.items() if key not in stay])

    def with_hands_of(self, empty: Case) -> "OrdersFlow":
        """Returns the flow of the same orders on a bench that has all hands and points of this one and more."""
        flow = self.flow.on(empty.bench)
        fill_rest(flow)
        return replace(self, empty=empty, flow=flow)

    def with_more(self, orders: Iterable[OrderWork]) -> "OrdersFlow":
        """Returns the flow of further orders beside these."""
        further = {order.key: order for order in orders}
        batches = {key: without_precedence(order, self.now) for key, order in further.items()}
        jobs = self.empty.with_batches([batch for each in batches.values() for batch in each]).jobs()
        work = {key: {batch.key: jobs[batch.key].left for batch in each} for key, each in batches.items()}
        flow = self.flow.copy()
        fill_due_first(flow, jobs)
        return replace(self, flow=flow, orders={**self.orders, **further}, work={**self.work, **work})

    def shortage(self, orders: Iterable[OrderWork]) -> Shortage | None:
        """Returns the proof that these orders, which share no time with the others, do not fit; None if there is
        none."""
        work = {key: seconds for order in orders for key, seconds in self.work[order.key].items()}
        return shortage_in(self.flow, work, self.empty.gases)


@dataclass(frozen=True)
class BesideOrders:
    """Orders on a bench, which is given as a case without batches. like: the same orders on a bench that lacks some
    of this one's hands or points. before: a flow of orders that may be on this bench, and mostly these. doubtful:
    orders that likely do not fit, so that the proof of it is sought first."""

    empty: Case
    orders: tuple[OrderWork, ...]
    now: datetime
    like: "BesideOrders | None" = None
    before: OrdersFlow | None = None
    doubtful: frozenset[str] = frozenset()

    @property
    def known_flow(self) -> OrdersFlow | None:
        """The flow of these orders if it was asked for, else the one before."""
        return vars(self).get("_flow", self.before)

    @property
    def alone(self) -> FinishStarts:
        """The starts of finishing of these orders alone."""
        return joined(self._groups.values())

    def with_more(self, more: Sequence[OrderWork]) -> FinishStarts:
        """Returns what `find_finish_starts` finds for these orders and the further ones."""
        found, with_all = list[FinishStarts](), cache(lambda: self._flow.with_more(more))

        def prove(orders: Sequence[OrderWork]) -> Shortage | None:
            return with_all().shortage(orders)

        keys = {order.key for order in more}
        for group in groups_sharing_no_time([*self.orders, *more], self.now):
            if keys.isdisjoint(order.key for order in group):
                found.append(self._groups[group[0].key])
            else:
                found.append(self._answer(group, prove, self.unfit))
        return joined(found)

    @cached_property
    def _flow(self) -> OrdersFlow:
        if self.like:
            return self.like._flow.with_hands_of(self.empty)
        if self.before and self.before.is_on(self.empty, self.now):
            return self.before.of_orders(self.orders)
        return OrdersFlow.on(self.empty, self.now).with_more(self.orders)

    @cached_property
    def _groups(self) -> dict[str, FinishStarts]:
        """The starts of finishing of each group of orders that share no time with others, by its first order."""
        groups = groups_sharing_no_time(self.orders, self.now)
        doubtful = self.like.unfit if self.like else self.doubtful
        return {group[0].key: self._answer(group, self._prove, doubtful) for group in groups}

    def _answer(self, group: Sequence[OrderWork], prove: Prove, doubtful: frozenset[str]) -> FinishStarts:
        is_unfit = not doubtful.isdisjoint(order.key for order in group)
        return solve_group(Search(self.empty, group, self.now, prove, is_unfit))

    def _prove(self, orders: Sequence[OrderWork]) -> Shortage | None:
        return self._flow.shortage(orders)

    @cached_property
    def unfit(self) -> frozenset[str]:
        """The orders that cannot be ready together even without further ones."""
        proved = (conflict.orders for conflict in self.alone.conflicts if conflict.fit is Fit.CANNOT)
        return frozenset().union(*proved)
