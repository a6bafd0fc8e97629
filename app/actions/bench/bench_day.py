"""The bench without the order that is asked about, and its answers to quotes: each question is searched once."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from typing import TypeVar

from app.actions.kept import KeptFindings
from app.actions.records.open_work import LATER_SUFFIX, crew_absence, earliest_start, trip_absence, work_left
from app.planning.beside import BesideOrders, OrdersFlow
from app.planning.finishing import FinishStarts
from app.planning.going_on import GoingOn
from app.planning.order_work import FillJob, OrderWork
from app.planning.schedule import Absence, Batch, Case, Shift
from app.planning.shared_starts import latest_shared_starts
from app.planning.work import filling_point
from app.quoting.journey import set_up_trip, trip_of
from app.quoting.parts import BatchSpec, match_commitments
from app.quoting.quote import Quote
from app.quoting.rentals import take_down_trip_of
from app.quoting.request import HandOver
from app.quoting.runs import BatchPlan, Run
from app.quoting.shop import TripDefaults
from app.quoting.states import OrderPart
from app.store.queries.work import WorkRow

THIS_ORDER = "this order"
MOST_ASKED = 128
"""An order that does not fit asks some dozen questions: with other hours, more staff, or other balloons."""
T = TypeVar("T")


@dataclass(frozen=True)
class BenchDay:
    """The bench without the order asked about.

    If that order is saved already, started has its batches that were started, going those that are being filled,
    by key, and ready has its parts that are ready. reaches: the moment up to which shifts are known. like: the same
    bench with fewer people or points. before: the flow of the bench as it was before something changed.
    """

    orders: tuple[OrderWork, ...]
    shifts: tuple[Shift, ...]
    points: Mapping[str, int]
    absences: tuple[Absence, ...]
    now: datetime
    trip_defaults: TripDefaults
    unavoidably_late: tuple[str, ...] = ()
    started: Mapping[BatchSpec, WorkRow] | None = None
    going: Mapping[str, GoingOn] = field(default_factory=dict)
    ready: frozenset[OrderPart] = frozenset()
    reaches: datetime | None = None
    like: "BenchDay | None" = field(default=None, compare=False, repr=False)
    before: OrdersFlow | None = field(default=None, compare=False, repr=False)
    _asked: KeptFindings = field(
        default_factory=lambda: KeptFindings(MOST_ASKED), init=False, compare=False, repr=False
    )

    @cached_property
    def finish_without_order(self) -> FinishStarts:
        """The starts of finishing without the order asked about."""
        return self._beside.alone

    @cached_property
    def _beside(self) -> BesideOrders:
        """The other orders, to ask about further ones beside them."""
        empty = Case.of((), self.shifts, self.points, self.absences)
        return BesideOrders(empty, self.orders, self.now, self.like._beside if self.like else None, self.before)

    @property
    def known_flow(self) -> OrdersFlow | None:
        """The flow of the other orders if it was asked for, else the one before."""
        beside: BesideOrders | None = vars(self).get("_beside")
        return beside.known_flow if beside else self.before

    def finish_with_order(self, quote: Quote) -> FinishStarts:
        """Returns the starts of finishing along with the order of the quote. An order filled at the venue only
        takes its crew away from the others. What was asked before with the same work is not searched again."""
        mine = () if quote.request.hand_over is HandOver.VENUE else self.of_quote(quote)
        crews = tuple(_crews_of(quote, self.trip_defaults))
        return self._once("finish", mine, crews, lambda: self._without_crews(crews).with_more(mine))

    def _without_crews(self, crews: tuple[Absence, ...]) -> BesideOrders:
        """Returns the other orders on the bench while further crews are away."""
        if not crews:
            return self._beside
        empty = Case.of((), self.shifts, self.points, (*self.absences, *crews))
        return BesideOrders(empty, self.orders, self.now, doubtful=self._beside.unfit)

    def latest_starts(self, quote: Quote) -> Mapping[str, datetime]:
        """Returns by batch the latest start of each fill of the quote, which must fit and be filled here, along
        with all other orders."""
        mine, crews = self.of_quote(quote), tuple(_crews_of(quote, self.trip_defaults))
        found = self.finish_with_order(quote)
        return self._once(
            "latest",
            mine,
            crews,
            lambda: latest_shared_starts(
                mine, self.orders, found.by_order, self.shifts, self.points, self.now, (*self.absences, *crews)
            ),
        )

    def with_one_more(self, start: datetime, end: datetime) -> "BenchDay":
        """Returns the bench with one more person on shift from start to end."""
        more = (*self.shifts, Shift(start, end, 1))
        return self._asked.load(0, (), ("person", start, end), lambda: replace(self, shifts=more, like=self))

    def with_one_more_point(self, gas: str) -> "BenchDay":
        """Returns the bench with one more filling point for the gas."""
        more = {**self.points, gas: self.points[gas] + 1}
        return self._asked.load(0, (), ("point", gas), lambda: replace(self, points=more, like=self))

    def _once(
        self, question: str, mine: tuple[OrderWork, ...], crews: tuple[Absence, ...], find: Callable[[], T]
    ) -> T:
        """Returns the answer to a question about this work and these crews, which is searched once."""
        away = tuple((one.start, one.end, one.hands, *sorted(one.points.items())) for one in crews)
        return self._asked.load(0, (), (question, mine, away), find)

    def of_quote(self, quote: Quote) -> tuple[OrderWork, ...]:
        """Returns the work at the bench that is left for the order of the quote."""
        return tuple(_of_quote(quote, self))


def named_batches(run: Run) -> list[tuple[str, BatchPlan]]:
    """Returns the batches of the run with their keys at the bench."""
    return [(f"{_key_of(run)}-{place}", plan) for place, plan in enumerate(run.batches)]


def _key_of(run: Run) -> str:
    """Returns the key of the order's part at the bench."""
    return f"{THIS_ORDER}{LATER_SUFFIX if run.part is OrderPart.LATER else ''}"


def _of_quote(quote: Quote, bench: BenchDay) -> Iterator[OrderWork]:
    """Yields the work that is left for the quote; nothing for a hand-over that is ready."""
    started = match_commitments(bench.started or {}, [plan.fill.spec for plan in quote.batches])
    for run in quote.runs:
        key = _key_of(run)
        plans = [(name, plan, _started_row(plan, started)) for name, plan in named_batches(run)]
        fills = tuple(
            _fill(name, plan, run, row, bench)
            for name, plan, row in plans
            if row is None or row.filled < row.quantity
        )
        if fills or run.part not in bench.ready:
            yield OrderWork(key, fills, quote.finishing.total_seconds(), run.ready_by)


def _started_row(plan: BatchPlan, started: Mapping[BatchSpec, WorkRow]) -> WorkRow | None:
    """Returns the row of a batch that was started, with the quantity wanted now; None if it was not started."""
    row = started.get(plan.fill.spec)
    minutes = int(plan.fill.work.total_seconds() // 60)
    return replace(row, quantity=plan.fill.quantity, work_minutes=minutes) if row else None


def _fill(key: str, plan: BatchPlan, run: Run, row: WorkRow | None, bench: BenchDay) -> FillJob:
    """Returns the fill of one batch. A batch that was started goes on at once."""
    if row is None:
        work, earliest = (
            plan.fill.work.total_seconds(),
            earliest_start(plan.window.not_before, plan.window.inflate_by),
        )
    else:
        work, earliest = work_left(row, bench.going.get(row.key), bench.shifts, bench.now), bench.now
    balloon_type = plan.fill.balloon_type
    point = filling_point(balloon_type.material, plan.fill.spec.gas, air_only=balloon_type.air_only)
    return FillJob(Batch(key, point, work, earliest, run.ready_by), plan.fill.drying_time)


def _crews_of(quote: Quote, trip_defaults: TripDefaults) -> Iterator[Absence]:
    """Yields when the crew of the quote is away, for the delivery and to take down."""
    if trip := trip_of(quote.request):
        yield crew_absence(quote.leaves_at, trip.back_at, quote.request.crew)
    request = quote.request
    if sets_up := set_up_trip(request, trip_defaults):
        yield trip_absence(sets_up)
    if request.take_down_at:
        yield trip_absence(
            take_down_trip_of(request.take_down_at, request.travel_minutes, request.crew, trip_defaults)
        )
