"""How full the holding area will be: the stays of all open orders, and of an order before it is promised."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from app.actions.context import Context
from app.physics.balloon import Gas
from app.planning.holding_area import RoomTaken, Stay, fullest, overfull_times, room_of
from app.quoting.parts import BatchSpec, match_commitments
from app.quoting.quote import Quote
from app.quoting.request import HandOver
from app.quoting.states import OrderPart
from app.store.queries.holding_area import WaitingRow, waiting_batches
from app.store.queries.overdue import MAX_OVERDUE


@dataclass(frozen=True, slots=True)
class HoldingArea:
    """room: in 11-inch balloons, as in the stays. stays: of all orders but the one asked about. If that one is
    saved already, started has its batches that were started, and gone has its parts that have left."""

    room: int
    stays: tuple[Stay, ...]
    now: datetime
    started: tuple[BatchSpec, ...] = ()
    gone: frozenset[OrderPart] = frozenset()


@dataclass(frozen=True, slots=True)
class HoldingAreaFit:
    """How full the holding area is while an order waits. fullest: the fullest time, this order included. over: the
    fullest time at which there is too little room; None if there is always enough. already_overfull: whether there
    is too little room at some time even without this order."""

    room: int
    fullest: RoomTaken
    over: RoomTaken | None
    already_overfull: bool


def load_holding_area(context: Context, room: int, excluding_order: int | None = None) -> HoldingArea | None:
    """Returns the holding area; None if nobody entered how much room there is.

    excluding_order: the number of the order asked about, if it is saved already.
    """
    if not room:
        return None
    return context.keep(("holding area", room, excluding_order), lambda at: _find(at, room, excluding_order))


def _find(context: Context, room: int, excluding_order: int | None) -> HoldingArea:
    """Returns the holding area with all that waits or will wait."""
    rows = waiting_batches(context.session)
    mine = [row for row in rows if row.number == excluding_order]
    return HoldingArea(
        room,
        tuple(_stays([row for row in rows if row.number != excluding_order], context.now)),
        context.now,
        tuple(_spec_of(row) for row in mine if row.started_at),
        frozenset(row.part for row in mine if row.gone),
    )


def stays_of(quote: Quote, holding_area: HoldingArea) -> tuple[Stay, ...]:
    """Returns the stays of the order of a quote, each batch from its own latest start; none if a crew fills it at
    the venue."""
    if quote.request.hand_over is HandOver.VENUE:
        return ()
    here = [plan for plan in quote.batches if plan.fill.spec.part not in holding_area.gone]
    started = match_commitments(dict.fromkeys(holding_area.started, True), [plan.fill.spec for plan in here])
    return tuple(
        Stay(
            holding_area.now if plan.fill.spec in started else max(plan.window.inflate_by, holding_area.now),
            plan.ready_by,
            room_of(plan.fill.quantity, plan.fill.size.diameter_in),
        )
        for plan in here
    )


def fit_in_holding_area(quote: Quote, holding_area: HoldingArea) -> HoldingAreaFit | None:
    """Returns how the order fits along with all that waits at the same time; None if nothing of it waits."""
    mine = [stay for stay in stays_of(quote, holding_area) if stay.start < stay.end]
    if not mine:
        return None
    first, last = min(stay.start for stay in mine), max(stay.end for stay in mine)
    together = (*holding_area.stays, *mine)
    most = fullest(together, first, last)
    if most is None:
        return None
    over = max(overfull_times(together, first, last, holding_area.room), key=lambda one: one.room, default=None)
    already_overfull = bool(overfull_times(holding_area.stays, first, last, holding_area.room))
    return HoldingAreaFit(holding_area.room, most, over, already_overfull)


def _stays(rows: Iterable[WaitingRow], now: datetime) -> Iterator[Stay]:
    """Yields the stays of batches that wait or will wait.

    An overdue order waits until somebody records its hand-over, so each time it is assumed to stay half a day more.
    A batch that was never started and is overdue for that long is forgotten.
    """
    for row in rows:
        forgotten = row.started_at is None and row.leaves_at <= now - MAX_OVERDUE
        if not row.gone and not forgotten:
            start = row.started_at or max(row.planned_start or row.inflate_by, now)
            end = row.leaves_at if row.leaves_at > now else now + MAX_OVERDUE
            yield Stay(start, end, room_of(row.quantity, row.fill_size_in))


def _spec_of(row: WaitingRow) -> BatchSpec:
    """Returns what the balloons of the batch have in common."""
    return BatchSpec(row.balloon_type_id, Gas(row.gas), row.treated, row.part, row.hung_g)
