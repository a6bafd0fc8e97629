"""A run is all that one person fills for one part of an order, batch after batch. An order has one run for its main
part, and one more for its later part if there is one.

This module finds when a run must start, how early each of its batches may be filled, and whether there is time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from app.craft.sizing import FillSize
from app.physics.balloon import BalloonType, Gas
from app.physics.endurance import Endurance, Filling
from app.planning.bench_window import (
    BatchTimes,
    latest_fill_start,
    latest_start_for_one_person,
    ready_time_for_one_person,
)
from app.planning.shoptime import step_up
from app.planning.window import Certainty, FloatPlan, FloatWindow, Verdict
from app.planning.workplace import AtVenue, Trip
from app.quoting.errors import Problem, Refused
from app.quoting.journey import Journey
from app.quoting.parts import BatchSpec
from app.quoting.shop import Shop
from app.quoting.states import OrderPart

NEVER_OPEN = Problem(
    "ready_by", "The shop is not open long enough before that to do the work. Check the opening hours."
)


@dataclass(frozen=True, slots=True)
class FillPlan:
    """What one batch asks of the bench, before any time is known. spares: how many are laid out on top. weight_g:
    the least weight, in grams, that must hold each balloon outdoors; None indoors and for air."""

    spec: BatchSpec
    balloon_type: BalloonType
    colours: tuple[tuple[str, int], ...]
    size: FillSize
    filling: Filling
    endurance: Endurance
    work: timedelta
    drying_time: timedelta
    weight_g: float | None
    spares: int = 0

    @property
    def load_g(self) -> float:
        """The grams that hang on each balloon, without its coat; 0 if it is filled with air."""
        return self.filling.load_g or 0.0

    @property
    def quantity(self) -> int:
        """The number of balloons, without spares."""
        return sum(count for _, count in self.colours)


@dataclass(frozen=True, slots=True)
class BatchPlan:
    """A batch with its times. ready_by: of the hand-over that it belongs to. started_at: when it was started."""

    fill: FillPlan
    ready_by: datetime
    float_plan: FloatPlan
    window: FloatWindow
    started_at: datetime | None = None

    def starting_by(self, inflate_by: datetime, certainty: Certainty) -> "BatchPlan":
        """Returns the batch with its latest start on the shared bench. One that was started stays as it is."""
        if self.started_at:
            return self
        outcome = self.float_plan.outcome(inflate_by, certainty)
        return replace(self, window=replace(self.window, inflate_by=inflate_by, outcome=outcome))


@dataclass(frozen=True, slots=True)
class Run:
    """All that one person fills for one part of an order, batch after batch. ready_by: when it must be ready.
    first_fill_by: when the first fill must start. ready_at: when it would be ready if started now; None unless that
    is after ready_by."""

    ready_by: datetime
    batches: tuple[BatchPlan, ...]
    first_fill_by: datetime
    ready_at: datetime | None
    part: OrderPart = OrderPart.MAIN


def plan_runs(
    fills: Sequence[FillPlan],
    journeys: Mapping[OrderPart, Journey],
    shop: Shop,
    finishing: timedelta,
    now: datetime,
    started: Mapping[BatchSpec, datetime],
) -> tuple[Run, ...]:
    """Returns the run of the main part, and of the later part if there is one; the one person works on the main
    part first."""
    main, later = ([fill for fill in fills if fill.spec.part is part] for part in OrderPart)
    first = journeys[OrderPart.MAIN]
    if not later:
        return (_run(main, first, shop, finishing, now, started),)
    free = _ready(_to_do(main, started), first, finishing, now) if _to_do(main, started) else now
    last = _run(later, journeys[OrderPart.LATER], shop, finishing, free, started)
    return (
        _run(main, first, shop, finishing, now, started, last.first_fill_by),
        replace(last, part=OrderPart.LATER),
    )


def _run(
    fills: Sequence[FillPlan],
    journey: Journey,
    shop: Shop,
    finishing: timedelta,
    now: datetime,
    started: Mapping[BatchSpec, datetime],
    free_until: datetime | None = None,
) -> Run:
    """Returns the run. now: when the person is free. free_until: when they must start something else."""
    to_do = _to_do(fills, started)
    soonest = _ready(to_do, journey, finishing, now)
    ready_by = journey.ready_by or step_up(soonest, shop.step_minutes, shop.zone)
    done_by = min(ready_by, free_until) if free_until else ready_by
    first = _or_refuse(latest_start_for_one_person(done_by, journey.workplace, finishing, to_do))
    late = bool(to_do) and journey.workplace.first_open(now) > first and soonest > ready_by
    ready_at = step_up(soonest, shop.step_minutes, shop.zone) if late else None
    batches = tuple(_plan(fill, journey, ready_by, shop, finishing, started) for fill in fills)
    return Run(ready_by, batches, first, ready_at)


def crew_leaves_at(trip: Trip, fills: Sequence[FillPlan], shop: Shop, finishing: timedelta) -> datetime:
    """Returns when the crew must leave so that one person of it has time for all the fills, started or not, and for
    the shop's margin."""
    works = [(fill.work, fill.drying_time) for fill in fills]
    venue = AtVenue(trip.fills_from)
    first_fill_by = _or_refuse(latest_start_for_one_person(trip.filled_by, venue, finishing, works))
    return trip.leaves_by(first_fill_by, timedelta(minutes=shop.trip.crew_margin_minutes))


def _to_do(fills: Sequence[FillPlan], started: Mapping[BatchSpec, datetime]) -> BatchTimes:
    """Returns the work and drying of the batches that were not started."""
    return [(fill.work, fill.drying_time) for fill in fills if fill.spec not in started]


def _ready(to_do: BatchTimes, journey: Journey, finishing: timedelta, now: datetime) -> datetime:
    """Returns when the work would be ready if started now."""
    return _or_refuse(ready_time_for_one_person(now, journey.workplace, finishing, to_do))


def _or_refuse(moment: datetime | None) -> datetime:
    """Returns the moment. Raises Refused if there is none, because the shop is never open for so long."""
    if moment is None:
        raise Refused(NEVER_OPEN)
    return moment


def _plan(
    fill: FillPlan,
    journey: Journey,
    ready_by: datetime,
    shop: Shop,
    finishing: timedelta,
    started: Mapping[BatchSpec, datetime],
) -> BatchPlan:
    legs = journey.legs(fill.filling, ready_by, shop)
    inflate_by = _or_refuse(latest_fill_start(ready_by, journey.workplace, finishing, fill.drying_time, fill.work))
    wind = Verdict.RISKY if journey.too_windy and fill.spec.gas is Gas.HELIUM else Verdict.SAFE
    float_plan = FloatPlan(fill.endurance, legs, wind)
    window = float_plan.window(inflate_by, shop.certainty, started.get(fill.spec))
    earliest = max((at for at in (window.not_before, journey.fills_from) if at), default=None)
    return BatchPlan(fill, ready_by, float_plan, replace(window, not_before=earliest), started.get(fill.spec))
