"""Work out what a wish asks of the bench, whether it will float, and what it costs. Nothing is written."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from app.actions.course import Course, course_of, venue_air
from app.actions.errors import Problem, Refused
from app.actions.parts import BatchOf, SoldLine, sell, together
from app.actions.shop import Goods, Shop
from app.actions.wish import HandOver, LineWish, OrderWish
from app.craft.sizing import FillSize, fill_size
from app.craft.weights import weight_g
from app.physics.balloon import Kind
from app.physics.endurance import Endurance, Filling, endurance
from app.planning.shoptime import step_up
from app.planning.window import (
    FloatWindow,
    Leg,
    Verdict,
    float_window,
    one_hand_ready,
    one_hand_start,
    ready_chain,
)
from app.planning.work import batch_work, drying, tail_work

WORST_FIRST = (Verdict.NO, Verdict.CHANCY, Verdict.SAFE)
HOURS_OF_LEAVING = ("ready_by", "arrives_at", "later_at")
NEVER_OPEN = Problem("ready_by", "The shop's hours leave no room for the work in the two months before that.")


@dataclass(frozen=True, slots=True)
class Fill:
    """What one batch asks of the bench, before any hour is known. weight_g: the least that must hold each balloon
    outdoors, grams; None indoors and for air."""

    of: BatchOf
    kind: Kind
    colours: tuple[tuple[str, int], ...]
    size: FillSize
    filling: Filling
    endurance: Endurance
    work: timedelta
    dries: timedelta
    weight_g: float | None

    @property
    def quantity(self) -> int:
        return sum(count for _, count in self.colours)


@dataclass(frozen=True, slots=True)
class BatchPlan:
    """ready_by: of the hand-over it belongs to."""

    fill: Fill
    ready_by: datetime
    legs: tuple[Leg, ...]
    window: FloatWindow


@dataclass(frozen=True, slots=True)
class Run:
    """What one hand fills in turn for one hand-over. first_fill_by: its first start. ready_at: when it would be
    ready if begun now, told only when that is after ready_by."""

    ready_by: datetime
    batches: tuple[BatchPlan, ...]
    first_fill_by: datetime
    ready_at: datetime | None


@dataclass(frozen=True, slots=True)
class Quote:
    """The answer. runs: the order's hand-over, and that of its later part if it has one. venue_minor: the fee for
    filling at the venue."""

    wish: OrderWish
    lines: tuple[SoldLine, ...]
    runs: tuple[Run, ...]
    tail: timedelta
    venue_minor: int

    @property
    def ready_by(self) -> datetime:
        """When it stands finished: to be collected, to leave, or to be hung."""
        return self.runs[0].ready_by

    @property
    def leaves_at(self) -> datetime:
        """When it, or the crew that fills it, leaves the shop."""
        return self.wish.ready_by or self.ready_by

    @property
    def batches(self) -> tuple[BatchPlan, ...]:
        return tuple(batch for run in self.runs for batch in run.batches)

    @property
    def first_fill_by(self) -> datetime:
        return min(run.first_fill_by for run in self.runs)

    @property
    def late(self) -> Run | None:
        """What the bench cannot have ready in time."""
        return next((run for run in self.runs if run.ready_at), None)

    @property
    def ready_at(self) -> datetime | None:
        """When what is late would be ready if begun now; None when nothing is."""
        return self.late.ready_at if self.late else None

    @property
    def float_verdict(self) -> Verdict:
        verdicts = {batch.window.verdict for batch in self.batches}
        return next((verdict for verdict in WORST_FIRST if verdict in verdicts), Verdict.SAFE)

    @property
    def verdict(self) -> Verdict:
        return Verdict.NO if self.late else self.float_verdict

    @property
    def total_minor(self) -> int:
        return sum(line.total_minor for line in self.lines) + self.venue_minor

    @property
    def weights(self) -> dict[BatchOf, float | None]:
        return {batch.fill.of: batch.fill.weight_g for batch in self.batches}

    def batches_of(self, line: SoldLine) -> list[BatchPlan]:
        return [batch for batch in self.batches if batch.fill.of in line.parts]


@dataclass(frozen=True, slots=True)
class Standing:
    """What of an order stands already: the starts of batches begun, lines and fee as they were sold, and how it
    is handed over."""

    begun: Mapping[BatchOf, datetime] = field(default_factory=dict)
    kept: Mapping[LineWish, SoldLine] = field(default_factory=dict)
    hand_over: HandOver | None = None
    venue_minor: int = 0


NEW = Standing()


def quote(wish: OrderWish, shop: Shop, goods: Goods, now: datetime, standing: Standing = NEW) -> Quote:
    """Raises Refused with a problem for each field."""
    lines = tuple(
        standing.kept.get(line) or sell(line, place, goods, shop) for place, line in enumerate(wish.lines)
    )
    _refuse_move(wish, standing)
    courses = {later: course_of(wish, shop, later=later) for later in (False, True)}
    fills = [_fill(of, colours, wish, courses[of.later], shop, goods) for of, colours in together(lines).items()]
    _refuse_sinkers(fills, lines, wish, shop)
    _refuse_empty_hand_over(fills)
    tail = tail_work(sum(line.assembly_minutes for line in lines), shop.pace)
    runs = [
        _run(mine, courses[later], shop, tail, now, standing.begun)
        for later in (False, True)
        if (mine := [fill for fill in fills if fill.of.later is later]) or not later
    ]
    return Quote(wish, lines, tuple(runs), tail, _venue_fee(wish, shop, standing))


def waited(answer: Quote, shop: Shop, goods: Goods, now: datetime, standing: Standing = NEW) -> Quote | None:
    """The same order for a customer who waits until it is ready; None when nothing is late, or nobody waits
    because a crew fills it there."""
    if answer.late is None or answer.ready_at is None or answer.wish.hand_over is HandOver.VENUE:
        return None
    wish, wait = answer.wish, answer.ready_at - answer.late.ready_by
    later = {name: at + wait for name in HOURS_OF_LEAVING if (at := getattr(wish, name))}
    return quote(replace(wish, **later), shop, goods, now, standing)


def _venue_fee(wish: OrderWish, shop: Shop, standing: Standing) -> int:
    if wish.hand_over is not HandOver.VENUE:
        return 0
    return standing.venue_minor if standing.hand_over is HandOver.VENUE else shop.venue_minor


def _fill(
    of: BatchOf, colours: Mapping[str, int], wish: OrderWish, course: Course, shop: Shop, goods: Goods
) -> Fill:
    kind = goods.kinds[of.kind_id].kind()
    size = fill_size(kind, of.gas, course.filled_in, course.later_airs, wish.surroundings, shop.air_sizes)
    filling = Filling(kind, of.gas, size.litres, course.filled_in, of.treated)
    work = batch_work(filling, sum(colours.values()), shop.pace)
    owns = endurance(filling, shop.habits)
    dries, weight = drying(filling, shop.pace), _weight_g(filling, wish, shop)
    return Fill(of, kind, tuple(colours.items()), size, filling, owns, work, dries, weight)


def _run(
    fills: Sequence[Fill],
    course: Course,
    shop: Shop,
    tail: timedelta,
    now: datetime,
    begun: Mapping[BatchOf, datetime],
) -> Run:
    to_do = [(fill.work, fill.dries) for fill in fills if fill.of not in begun]
    soonest = _or_refuse(one_hand_ready(now, course.workplace, tail, to_do))
    ready_by = course.ready_by or step_up(soonest, shop.step_minutes, shop.zone)
    first = _or_refuse(one_hand_start(ready_by, course.workplace, tail, to_do))
    late = bool(to_do) and course.workplace.first_open(now) > first and soonest > ready_by
    ready_at = step_up(soonest, shop.step_minutes, shop.zone) if late else None
    batches = tuple(_plan(fill, course, ready_by, shop, tail, now, begun) for fill in fills)
    return Run(ready_by, batches, first, ready_at)


def _or_refuse(moment: datetime | None) -> datetime:
    if moment is None:
        raise Refused(NEVER_OPEN)
    return moment


def _weight_g(filling: Filling, wish: OrderWish, shop: Shop) -> float | None:
    """By the wind told, or by the shop's limit when nobody said."""
    if not wish.surroundings.outdoors:
        return None
    wind = shop.outdoors.wind_limit_m_s if wish.wind_m_s is None else wish.wind_m_s
    return weight_g(filling, wind, venue_air(wish, shop), shop.habits, shop.outdoors)


def _plan(
    fill: Fill,
    course: Course,
    ready_by: datetime,
    shop: Shop,
    tail: timedelta,
    now: datetime,
    begun: Mapping[BatchOf, datetime],
) -> BatchPlan:
    legs = course.legs(fill.filling, ready_by, shop)
    inflate_by = _or_refuse(ready_chain(ready_by, course.workplace, tail, fill.dries, fill.work))
    start = begun.get(fill.of, max(course.workplace.first_open(now), inflate_by))
    window = float_window(fill.endurance, legs, inflate_by, shop.certainty, start)
    earliest = max((at for at in (window.not_before, course.fills_from) if at), default=None)
    return BatchPlan(fill, ready_by, legs, replace(window, not_before=earliest))


def _refuse_move(wish: OrderWish, standing: Standing) -> None:
    """What was begun at the bench is not filled at the venue, nor the other way round."""
    there, was_there = (hand_over is HandOver.VENUE for hand_over in (wish.hand_over, standing.hand_over))
    if standing.begun and there is not was_there:
        where = "at the venue" if was_there else "at the bench"
        raise Refused(Problem("hand_over", f"Some are filled already {where}: the rest is filled there too."))


def _refuse_empty_hand_over(fills: Sequence[Fill]) -> None:
    if fills and all(fill.of.later for fill in fills):
        sentence = "All of it would be handed over later: untick “later part” and take that hour for the order."
        raise Refused(Problem("later_at", sentence))


def _refuse_sinkers(fills: Sequence[Fill], lines: Sequence[SoldLine], wish: OrderWish, shop: Shop) -> None:
    height = venue_air(wish, shop).elevation_m
    sinkers = {fill.of: fill.kind.name for fill in fills if fill.endurance.budget <= 0}
    problems = [
        Problem("what", f"{name} does not rise at {height:.0f} m with its load: too small, or too high up.", place)
        for of, name in sinkers.items()
        for place, line in enumerate(lines)
        if of in line.parts
    ]
    if problems:
        raise Refused(*problems)
