"""This module plans the bench with the finishing of every order: an order's fills must end, and dry, before its
finishing starts.

Because of this precedence no single flow gives the answer. There are three answers: a plan with starts of finishing
was found (it fits); the orders do not fit even without precedence (they cannot, and the minimum cut is the proof);
or neither (not found).
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from app.planning.order_work import (
    OrderWork,
    Prove,
    batches_of,
    finishing_of,
    groups_sharing_no_time,
    orders_in,
)
from app.planning.schedule import (
    Absence,
    Case,
    Shift,
    Shortage,
    fits_due_first,
    latest_starts_of,
    starts_one_after_another,
)
from app.planning.too_much import find_shortage

TRIES, ONE_BY_ONE = 7, 8
"""How often at most all starts of finishing are chosen again, and how many orders are then chosen one by one."""
EFFORT = 100
NEAR = timedelta(hours=12)
"""How close to a shortage an order must be due for its start of finishing to be chosen again."""


class Fit(StrEnum):
    """The answer to whether orders fit: they do, they proved not to, or no plan was found."""

    FITS = "fits"
    CANNOT = "cannot"
    NOT_FOUND = "not found"


@dataclass(frozen=True, slots=True)
class Conflict:
    """Orders that share time and do not fit, or for which no plan was found. shortage: the proof that they cannot
    fit, or, when no plan was found, the smallest shortage of all tries."""

    fit: Fit
    shortage: Shortage
    orders: frozenset[str]


@dataclass(frozen=True, slots=True)
class FinishStarts:
    """by_order: when the finishing of each order starts; empty unless all orders fit. conflicts: the orders that do
    not fit."""

    by_order: Mapping[str, datetime]
    conflicts: tuple[Conflict, ...] = ()

    @property
    def fit(self) -> Fit:
        """The answer for all orders together: CANNOT as soon as one conflict is proved."""
        found = {conflict.fit for conflict in self.conflicts}
        return next((fit for fit in (Fit.CANNOT, Fit.NOT_FOUND) if fit in found), Fit.FITS)

    @property
    def shortage(self) -> Shortage | None:
        """The shortage of the first conflict with this answer, with the all_seconds of all such conflicts; None
        when all orders fit."""
        first = next((conflict.shortage for conflict in self.conflicts if conflict.fit is self.fit), None)
        return replace(first, all_seconds=self.seconds(self.fit)) if first else None

    def seconds(self, fit: Fit) -> int:
        """Returns the sum of the hand-seconds that are short in all conflicts with this answer."""
        return sum(conflict.shortage.all_seconds for conflict in self.conflicts if conflict.fit is fit)


Solved = dict[tuple[int | str, ...], FinishStarts]
"""What was found for orders that share time, by the effort and the keys of the orders."""


def find_finish_starts(
    orders: Sequence[OrderWork],
    shifts: Sequence[Shift],
    points: Mapping[str, int],
    now: datetime,
    absences: Sequence[Absence] = (),
    effort: int = EFFORT,
) -> FinishStarts:
    """Returns when the finishing of each order starts, if all orders can be ready; else which orders conflict.

    Orders that share no time are solved separately. First all finishing is put at the end, one order after another
    with all hands; if that fits, one flow was enough. When finishing at the end leaves some fills too
    little time, but the bench could fit without precedence, the starts of finishing are chosen again: order by
    order, each as late as all others allow, those that are short of time first. This is repeated a few times; at
    last a few orders are chosen one by one.

    effort: how many starts of finishing may be chosen again among orders that share time, counted as orders times
    tries. It limits the time in a way that is the same on every machine.
    """
    return finish_starts_on(Case.of((), shifts, points, absences), orders, now, effort)


def finish_starts_on(
    empty: Case,
    orders: Sequence[OrderWork],
    now: datetime,
    effort: int = EFFORT,
    *,
    can_fit: bool = False,
    solved: Solved | None = None,
) -> FinishStarts:
    """Returns the same on a bench that is given as a case without batches.

    can_fit: whether it is known that all orders fit without precedence. solved: what was found on this bench for
    the same orders before, which is used again and added to.
    """
    solved, found = {} if solved is None else solved, []
    for group in groups_sharing_no_time(orders, now):
        key: tuple[int | str, ...] = (effort, *(order.key for order in group))
        if key not in solved:
            prove = _no_shortage if can_fit else None
            solved[key] = solve_group(Search(empty, group, now, prove, effort=effort))
        found.append(solved[key])
    return joined(found)


def _no_shortage(_orders: Sequence[OrderWork]) -> None:
    """Proves nothing: the orders are known to fit."""


def joined(found: Collection[FinishStarts]) -> FinishStarts:
    """Returns the answers for groups of orders that share no time as one."""
    conflicts = tuple(conflict for one in found for conflict in one.conflicts)
    by_order = {} if conflicts else {key: at for one in found for key, at in one.by_order.items()}
    return FinishStarts(by_order, conflicts)


@dataclass(frozen=True, slots=True)
class Search:
    """The search for starts of finishing of orders that share time, on an empty bench.

    prove: returns the proof that they cannot all be ready, or None, if it is sought elsewhere than in a flow of
    their own. is_unfit: whether some of them likely do not fit, so that the proof is sought first.
    """

    empty: Case
    orders: Sequence[OrderWork]
    now: datetime
    prove: Prove | None = None
    is_unfit: bool = False
    effort: int = EFFORT

    def proof(self) -> Shortage | None:
        """Returns the proof that the orders cannot all be ready, whatever the starts of finishing."""
        return self.prove(self.orders) if self.prove else find_shortage(self.case({}))

    def tries(self, number: int) -> int:
        """Returns how often this number of starts of finishing may be chosen within the effort."""
        return min(self.effort // number, TRIES)

    def case(self, finish_starts: Mapping[str, datetime]) -> Case:
        """Returns the case of the orders with these starts of finishing, and no precedence for the others."""
        return self.empty.with_batches(batches_of(self.orders, finish_starts, self.now))

    def conflict(self, fit: Fit, shortage: Shortage) -> FinishStarts:
        """Returns the answer that all these orders are in conflict."""
        return FinishStarts({}, (Conflict(fit, shortage, frozenset(order.key for order in self.orders)),))


def solve_group(search: Search) -> FinishStarts:
    """Returns the starts of finishing of orders that share time, or their conflict. They are put at the end if
    nothing is short then, and none starts before its fills can be dry."""
    if search.is_unfit and (proof := search.proof()):
        return search.conflict(Fit.CANNOT, proof)
    finishings = [finishing_of(order, search.now) for order in search.orders]
    at_the_end = starts_one_after_another(search.empty.with_batches(finishings), _due_last_first(search.orders))
    in_time = all(finishing.not_before <= at_the_end[finishing.key] for finishing in finishings)
    case = search.case(at_the_end)
    if in_time and fits_due_first(case):
        return FinishStarts(at_the_end)
    if proof := search.proof():
        return search.conflict(Fit.CANNOT, proof)
    short = find_shortage(case)
    return FinishStarts(at_the_end) if in_time and not short else _search_further(search, at_the_end, short)


def _search_further(search: Search, at_the_end: Mapping[str, datetime], short: Shortage | None) -> FinishStarts:
    """Searches for other starts of finishing than those at the end, with which something is short. When there are
    many orders, only those that are due near a shortage are chosen again at first."""
    failures = [short] if short else []
    many = search.effort and search.tries(len(search.orders)) < TRIES
    if many and (settled := _settled_far_from_shortages(search, at_the_end)):
        found = _choose_again(search, settled, failures)
        if found.fit is Fit.FITS:
            return found
    return _choose_again(search, {}, failures)


def _settled_far_from_shortages(search: Search, at_the_end: Mapping[str, datetime]) -> dict[str, datetime]:
    """Returns those starts of finishing at the end that can stay: all but those of orders due near a shortage.

    With them nothing is short. Returns an empty dict when too many orders would have to be chosen again.
    """
    finishings = [finishing_of(order, search.now) for order in search.orders]
    settled = {
        finishing.key: at_the_end[finishing.key]
        for finishing in finishings
        if finishing.not_before <= at_the_end[finishing.key]
    }
    while short := find_shortage(search.case(settled)):
        due = [order.ready_by for order in orders_in(search.orders, {*short.keys})]
        first, last = min(due) - NEAR, max(due) + NEAR
        near = {finishing.key for finishing in finishings if first <= finishing.ready_by <= last}
        if near.isdisjoint(settled) or not search.tries(
            len({finishing.key for finishing in finishings} - settled.keys() | near)
        ):
            return {}
        settled = {key: at for key, at in settled.items() if key not in near}
    return settled


def _choose_again(search: Search, settled: Mapping[str, datetime], failures: Sequence[Shortage]) -> FinishStarts:
    """Chooses all starts of finishing except the settled ones, several times if need be.

    The bench must fit with the settled ones alone. failures: the shortages of the tries so far.
    """
    chosen, failures = _due_last_first(order for order in search.orders if order.key not in settled), [*failures]
    tries, settled_case = search.tries(len(chosen)), search.case(settled)
    while not failures or len(failures) < tries:
        chosen = _short_orders_first(chosen, search.orders, failures[-1]) if len(failures) > 1 else chosen
        finish_starts = {**settled, **latest_starts_of(settled_case, chosen)}
        short = find_shortage(search.case(finish_starts))
        if short is None:
            return FinishStarts(finish_starts)
        failures.append(short)
    smallest = min(failures, key=lambda one: one.all_seconds)
    finish_starts = _choose_one_by_one(search, settled, smallest) if tries == TRIES else {}
    return FinishStarts(finish_starts) if finish_starts else search.conflict(Fit.NOT_FOUND, smallest)


def _choose_one_by_one(search: Search, settled: Mapping[str, datetime], smallest: Shortage) -> dict[str, datetime]:
    """Returns starts of finishing, chosen one by one for a few orders of the smallest shortage, then for all
    others.

    Each is chosen while the orders before it keep theirs. Returns an empty dict when that does not fit.
    """
    finish_starts = {**settled}
    named = orders_in(search.orders, {*smallest.keys})
    few = [key for key in _due_last_first(named) if key not in settled][:ONE_BY_ONE]
    others = [key for key in _due_last_first(search.orders) if key not in {*few, *settled}]
    for keys in (*([key] for key in few), others):
        case = search.case(finish_starts)
        if find_shortage(case):
            return {}
        finish_starts |= latest_starts_of(case, keys)
    return {} if find_shortage(search.case(finish_starts)) else finish_starts


def _short_orders_first(chosen: Sequence[str], orders: Sequence[OrderWork], short: Shortage) -> list[str]:
    """Returns the keys in the same order, but those whose fills are short of time first."""
    short_orders = {order.key for order in orders if {fill.batch.key for fill in order.fills} & {*short.keys}}
    return sorted(chosen, key=lambda key: key not in short_orders)


def _due_last_first(orders: Iterable[OrderWork]) -> list[str]:
    return [order.key for order in sorted(orders, key=lambda order: (-order.ready_by.timestamp(), order.key))]
