"""This module decides which orders give way when not all can be ready in time.

Each set of orders that is too much says: of these orders, so much work must give way. Such a rule, once known,
rules out many sets without asking the bench again. The search goes by size, and asks the bench only about sets
that keep all rules known so far; each that still does not fit gives a new rule.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import islice, repeat

from app.planning.finishing import Fit
from app.planning.following import by_due
from app.planning.kept_load import KeptLoad
from app.planning.order_work import OrderWork, finishing_of, orders_in, with_precedence
from app.planning.placing import SEARCH_EFFORT, BenchAhead, PlacedOrders
from app.planning.schedule import Shortage
from app.planning.soonest_bounds import bounds_of
from app.planning.too_much import TooMuch

MOST_ASKED, MOST_SETS = 256, 2304
"""How many sets the bench is asked about at most, and how many are looked at. With up to eight orders at risk there
are 256 sets, and nine sizes to look for."""
FAILED_SEARCHES_ALLOWED = 3
"""How many searches for starts of finishing may find nothing before `due_last` stops to search at length: when a
bench is far too full, further searches are not worth their time."""


@dataclass(frozen=True, slots=True)
class GivingWay:
    """Orders that give way, and the others, which are all in time with these starts of finishing."""

    late: frozenset[str]
    in_time: PlacedOrders


@dataclass(frozen=True, slots=True)
class _Rule:
    """Of these orders, by key with their work, so much work must give way. The orders with most work come first."""

    work: Mapping[str, int]
    needed: int

    @classmethod
    def of(cls, work: Mapping[str, int], needed: int) -> "_Rule":
        """Returns the rule of these orders."""
        return cls(dict(sorted(work.items(), key=lambda one: -one[1])), needed)

    def missing(self, late: frozenset[str]) -> int:
        """Returns how much more work must give way."""
        return self.needed - sum(map(self.work.get, late, repeat(0)))

    def can_be_kept_with(self, late: frozenset[str], more: int, missing: int) -> bool:
        """Returns whether so many more orders can be enough for what is missing."""
        rest = (work for key, work in self.work.items() if key not in late)
        return sum(islice(rest, more)) >= missing


class TooManySetsError(Exception):
    """There are more sets than may be looked at."""


@dataclass(slots=True)
class GivingWaySearch:
    """The search for the smallest sets of orders that must give way.

    orders: all orders, by key. tight: the load of those in a conflict that are in time alone, each batch within the
    hours in which it can be worked on if its own order is to be in time. unavoidable: the orders that are late even
    alone; they are in every set.
    """

    bench: BenchAhead
    orders: Mapping[str, OrderWork]
    tight: KeptLoad
    unavoidable: frozenset[str]
    rules: list[_Rule] = field(default_factory=list)
    asked: dict[frozenset[str], GivingWay | None] = field(default_factory=dict)
    looked_at: int = 0
    shapes: dict[str, int] = field(init=False)

    def __post_init__(self) -> None:
        """Numbers the shapes of the orders."""
        numbers: dict[object, int] = {}
        self.shapes = {key: numbers.setdefault(order.shape, len(numbers)) for key, order in self.orders.items()}

    @property
    def at_risk(self) -> frozenset[str]:
        """The orders that are late even alone, and those of all rules known so far."""
        return self.unavoidable.union(*(rule.work for rule in self.rules))

    def smallest(self) -> list[GivingWay]:
        """Returns all smallest sets of which the others fit. Raises TooManySetsError beyond the limits."""
        for more in range(len(self.tight.batches) + 1):
            if found := [*self._grow(self.unavoidable, more, set())]:
                return found
        raise ValueError("an empty bench always fits")

    def by_most_work(self) -> GivingWay:
        """Returns one set: from the rule that asks for most, the order with most of the missing work gives way,
        until the others fit; then those that fit after all are in time again, those due first at first."""
        late = self.unavoidable
        while (found := self.ask(late)) is None:
            rule = max(self.rules, key=lambda one: one.missing(late))
            missing = rule.missing(late)
            candidates = by_due(self.orders[key] for key in rule.work if key not in late)
            late |= {max(candidates, key=lambda one: (min(rule.work[one.key], missing), one.ready_by, one.key)).key}
        for order in by_due(self.orders[key] for key in late - self.unavoidable):
            found = self.ask(found.late - {order.key}) or found
        return found

    def ask(self, late: frozenset[str]) -> GivingWay | None:
        """Returns the set if the bench can make the others in time; else learns a rule and returns None."""
        if late not in self.asked:
            self.asked[late] = self._ask(late)
        return self.asked[late]

    def _ask(self, late: frozenset[str]) -> GivingWay | None:
        if any(rule.missing(late) > 0 for rule in self.rules):
            return None
        if short := self.tight.too_much(self.tight.batches.keys() - late):
            self.rules.append(self._rule_of(short))
            return None
        others = [order for key, order in self.orders.items() if key not in late]
        found = self.bench.finish_starts(others, can_fit=True)
        if found.fit is Fit.FITS:
            return GivingWay(late, PlacedOrders.of(self.bench, others, found.by_order))
        self.rules.extend(_Rule.of(dict.fromkeys(conflict.orders, 1), 1) for conflict in found.conflicts)
        return None

    def shortage_without(self, late: frozenset[str]) -> Shortage | None:
        """Returns the shortage, if any, which proves that those of the other orders that are at risk do not fit."""
        return self.tight.shortage(self.tight.batches.keys() - late)

    def _rule_of(self, short: TooMuch) -> _Rule:
        """Returns the rule that a minimum cut proves."""
        work = {
            key: sum(-int(-batch.work_seconds // 1) for batch in batches if batch.key in short.keys)
            for key, batches in self.tight.batches.items()
        }
        return _Rule.of({key: seconds for key, seconds in work.items() if seconds}, short.short_seconds)

    def _grow(self, late: frozenset[str], more: int, seen: set[frozenset[str]]) -> Iterator[GivingWay]:
        """Yields all sets that have these orders and so many more and of which the others fit."""
        if late in seen:
            return
        seen.add(late)
        self.looked_at += 1
        if self.looked_at > MOST_SETS or len(self.asked) > MOST_ASKED:
            raise TooManySetsError
        broken = self._broken(late)
        if not broken:
            if found := self.ask(late):
                yield found
                return
            broken = self._broken(late)
        if more and all(rule.can_be_kept_with(late, more, missing) for rule, missing in broken):
            narrowest, _ = min(broken, key=lambda one: len(one[0].work))
            for key in self._next_of(narrowest, late):
                yield from self._grow(late | {key}, more - 1, seen)

    def _broken(self, late: frozenset[str]) -> list[tuple[_Rule, int]]:
        """Returns the rules that these orders do not keep, each with the work that is missing."""
        return [(rule, missing) for rule in self.rules if (missing := rule.missing(late)) > 0]

    def _next_of(self, rule: _Rule, late: frozenset[str]) -> list[str]:
        """Returns the orders of a rule that may give way next; instead of an order of one shape with others, that
        of them with the last key."""
        last = {self.shapes[key]: key for key in sorted(self.orders.keys() - late)}
        return sorted({last[self.shapes[key]] for key in rule.work.keys() - late})


def tight_load(
    orders: Sequence[OrderWork], latest_finish_starts: Mapping[str, datetime], bench: BenchAhead
) -> KeptLoad:
    """Returns the load of the orders, each batch within the hours in which it can be worked on if its order is to
    be in time.

    Fills must be dry by the latest start of finishing that the order has when it is alone, and finishing cannot
    start before they could be filled if it were alone. So whatever is too much for these hours is too much in
    every plan.
    """
    filled = bounds_of(PlacedOrders.of(bench, (), {}), orders).filled if orders else {}
    tight = {}
    for order in orders:
        *fills, _ = with_precedence(order, latest_finish_starts[order.key], bench.now)
        finishing = finishing_of(order, bench.now)
        tight[order.key] = [*fills, replace(finishing, not_before=max(finishing.not_before, filled[order.key]))]
    return KeptLoad.of(bench.empty, tight)


def due_last(
    bench: BenchAhead, load: KeptLoad, orders: Sequence[OrderWork], unavoidable: frozenset[str]
) -> GivingWay:
    """Returns another set: of the orders of each shortage, the one that is due last gives way, until the others
    fit. load: that of the orders without precedence."""
    late, searches_left = unavoidable, FAILED_SEARCHES_ALLOWED
    while True:
        others = [order for order in orders if order.key not in late]
        if too_much := load.too_much({order.key for order in others}):
            keys = too_much.keys
        else:
            found = bench.finish_starts(others, SEARCH_EFFORT if searches_left > 0 else 0, can_fit=True)
            if found.shortage is None:
                return GivingWay(late, PlacedOrders.of(bench, others, found.by_order))
            searches_left, keys = searches_left - 1, frozenset(found.shortage.keys)
        late |= {by_due(orders_in(others, keys))[-1].key}
