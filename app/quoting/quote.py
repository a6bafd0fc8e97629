"""This module calculates what a request asks of the bench, whether it will float, and what it costs. It saves
nothing."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from app.craft.money import Percent, Portion
from app.craft.price import Bill
from app.planning.window import Verdict, worst
from app.planning.work import finishing_work
from app.quoting.bill import make_bill
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.quoting.extras import SoldExtra, sell_extra
from app.quoting.fills import fill_plan, refuse_sinkers, sized_filling
from app.quoting.journey import journey_of, set_ups_of, trip_of, venue_air
from app.quoting.loads import loads_of_batches
from app.quoting.parts import BatchSpec, LinesAsSold, SoldLine, group_into_batches, match_commitments, sell
from app.quoting.policy import TaxRule
from app.quoting.rentals import RentalItem, rental_items
from app.quoting.request import ExtraSort, HandOver, OrderRequest
from app.quoting.runs import BatchPlan, FillPlan, Run, crew_leaves_at, plan_runs
from app.quoting.shop import Shop
from app.quoting.states import OrderPart

STARTED_AT_BENCH = "Some are already filled at the bench. Fill the rest there too."
STARTED_AT_VENUE = "Some are already filled at the venue. Fill the rest there too."
NO_MAIN_PART = "Every line is in the later part. Untick “Later part” and enter its time for the whole order."


@dataclass(frozen=True, slots=True)
class Quote:
    """The answer to a request. runs: all that one person fills for the main part, and for the later part if there
    is one. venue_minor: the fee for filling at the venue. tax: as the order is, or was, sold with it.
    crew_leaves_at: when the crew leaves that fills it at the venue; None without one."""

    request: OrderRequest
    lines: tuple[SoldLine, ...]
    runs: tuple[Run, ...]
    finishing: timedelta
    venue_minor: int
    extras: tuple[SoldExtra, ...]
    rentals: tuple[RentalItem, ...]
    tax: TaxRule
    bill: Bill
    crew_leaves_at: datetime | None = None

    @property
    def ready_by(self) -> datetime:
        """When the order must be finished: to be collected, to leave, or to be hung."""
        return self.runs[0].ready_by

    @property
    def leaves_at(self) -> datetime:
        """When the order, or the crew that fills it, leaves the shop."""
        if set_ups_of(self.request):
            return self.ready_by  # earlier than for the agreed hour if its crew sets up before the event
        return self.crew_leaves_at or self.request.ready_by or self.ready_by

    @property
    def is_set_up_early(self) -> bool:
        """Whether it arrives before the hour that was agreed, so that all is set up when the event starts."""
        agreed = self.request.arrives_at if set_ups_of(self.request) else None
        return agreed is not None and self.arrives(self.runs[0]) < agreed

    @property
    def batches(self) -> tuple[BatchPlan, ...]:
        """The batches of all runs."""
        return tuple(batch for run in self.runs for batch in run.batches)

    @property
    def first_fill_by(self) -> datetime:
        """When the first fill of all must start."""
        return min(run.first_fill_by for run in self.runs)

    @property
    def late_run(self) -> Run | None:
        """The run that the bench cannot have ready in time; None if it can."""
        return next((run for run in self.runs if run.ready_at), None)

    @property
    def ready_at(self) -> datetime | None:
        """When the late run would be ready if started now; None if none is late."""
        return self.late_run.ready_at if self.late_run else None

    @property
    def crew_is_late(self) -> bool:
        """Whether the crew that fills at the venue can't have everything filled in time."""
        return self.request.hand_over is HandOver.VENUE and self.late_run is not None

    @property
    def float_verdict(self) -> Verdict:
        """The worst verdict of the batches."""
        return worst(batch.window.verdict for batch in self.batches)

    @property
    def total_minor(self) -> int:
        """What the customer pays, without security deposits."""
        return self.bill.total_minor

    @property
    def weights(self) -> dict[BatchSpec, float | None]:
        """The least weight below one balloon of each batch, in grams."""
        return {batch.fill.spec: batch.fill.weight_g for batch in self.batches}

    def arrives(self, run: Run) -> datetime:
        """Returns when the run is with the customer: collected, or delivered."""
        return run.ready_by + timedelta(minutes=self.request.travel_minutes if self.request.arrives_at else 0)

    def batches_of(self, line: SoldLine) -> list[BatchPlan]:
        """Returns the batches in which balloons of the line are."""
        return [batch for batch in self.batches if batch.fill.spec in line.parts]


@dataclass(frozen=True, slots=True)
class Commitments:
    """What of an order is fixed already: the starts of batches, lines, fee and tax as they were sold, the deposit
    asked, security deposits agreed on supplies, the supplies that it has, and how it is handed over."""

    started: Mapping[BatchSpec, datetime] = field(default_factory=dict)
    saved: LinesAsSold = field(default_factory=dict)
    hand_over: HandOver | None = None
    venue_minor: int = 0
    tax: TaxRule | None = None
    deposit: Portion | None = None
    deposits: Mapping[int, int] = field(default_factory=dict)
    supplies: Collection[int] = ()


NO_COMMITMENTS = Commitments()


def make_quote(
    request: OrderRequest,
    shop: Shop,
    catalogue: Catalogue,
    now: datetime,
    commitments: Commitments = NO_COMMITMENTS,
) -> Quote:
    """Returns the quote. Raises Refused with a problem for each field."""
    lines = tuple(sell(line, index, catalogue, shop, commitments.saved) for index, line in enumerate(request.lines))
    extras = _sell_extras(request, catalogue, shop, commitments)
    _refuse_move(request, commitments)
    journeys = {part: journey_of(request, shop, part) for part in OrderPart}
    batches = group_into_batches(lines)
    fillings = {spec: sized_filling(spec, request, journeys[spec.part], shop, catalogue) for spec in batches}
    loads = loads_of_batches(lines, fillings, venue_air(request, shop), shop)
    fills = [
        fill_plan(spec, colours, fillings[spec], loads[spec], request, shop) for spec, colours in batches.items()
    ]
    refuse_sinkers(fills, lines, request, shop)
    _refuse_empty_hand_over(fills)
    finishing = finishing_work(sum(line.assembly_minutes for line in lines), shop.work_times)
    started = match_commitments(commitments.started, [fill.spec for fill in fills])
    runs = plan_runs(fills, journeys, shop, finishing, now, started)
    trip = trip_of(request)
    leaves = crew_leaves_at(trip, fills, shop, finishing) if trip else None
    fee, tax = _venue_fee(request, shop, commitments), commitments.tax or shop.pricing.tax
    rentals = rental_items(lines, extras, commitments.deposits)
    deposit = commitments.deposit or Percent(shop.pricing.deposit_percent)
    bill = make_bill(lines, extras, fee, request.discount, tax, deposit, rentals)
    return Quote(request, lines, runs, finishing, fee, extras, rentals, tax, bill, leaves)


def _sell_extras(
    request: OrderRequest, catalogue: Catalogue, shop: Shop, commitments: Commitments
) -> tuple[SoldExtra, ...]:
    deposits, existing = commitments.deposits, commitments.supplies
    return tuple(
        sell_extra(one, index, catalogue, shop, deposits, existing) for index, one in enumerate(request.extras)
    )


def quote_if_waiting(
    quote: Quote, shop: Shop, catalogue: Catalogue, now: datetime, commitments: Commitments = NO_COMMITMENTS
) -> Quote | None:
    """Returns the quote for a customer who waits until what is late is ready.

    Returns None if nothing is late, or if a crew fills it at the venue, so that nobody waits.
    """
    late = quote.late_run
    if late is None or late.ready_at is None or quote.request.hand_over is HandOver.VENUE:
        return None
    return make_quote(_waiting(quote.request, late.part, late.ready_at), shop, catalogue, now, commitments)


def _waiting(request: OrderRequest, part: OrderPart, ready_at: datetime) -> OrderRequest:
    """Returns the request with this part as late as it is ready. A crew that is late does not set up before the
    event starts."""
    if part is OrderPart.LATER:
        return replace(request, later_at=ready_at)
    arrives_at = ready_at + timedelta(minutes=request.travel_minutes) if request.arrives_at else None
    ready_by = ready_at if request.ready_by else None
    extras = tuple(extra for extra in request.extras if extra.sort is not ExtraSort.SET_UP)
    return replace(request, ready_by=ready_by, arrives_at=arrives_at, extras=extras)


def _venue_fee(request: OrderRequest, shop: Shop, commitments: Commitments) -> int:
    """Returns the fee for filling at the venue, as it was sold or as it is now."""
    if request.hand_over is not HandOver.VENUE:
        return 0
    return commitments.venue_minor if commitments.hand_over is HandOver.VENUE else shop.venue_minor


def _refuse_move(request: OrderRequest, commitments: Commitments) -> None:
    """Raises Refused if what was started at the bench is now to be filled at the venue, or the other way round."""
    at_venue, was_at_venue = (
        hand_over is HandOver.VENUE for hand_over in (request.hand_over, commitments.hand_over)
    )
    if commitments.started and at_venue is not was_at_venue:
        raise Refused(Problem("hand_over", STARTED_AT_VENUE if was_at_venue else STARTED_AT_BENCH))


def _refuse_empty_hand_over(fills: Sequence[FillPlan]) -> None:
    if fills and all(fill.spec.part is OrderPart.LATER for fill in fills):
        raise Refused(Problem("later_at", NO_MAIN_PART))
