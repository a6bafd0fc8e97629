"""The corral as it will be: the stays of all open orders in it, and those of an order before it is promised."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.actions.records.open_work import FORGOTTEN
from app.physics.balloon import Gas
from app.planning.holding_area import Stay, Waiting, fullest, overfull, room_of
from app.quoting.parts import BatchOf, follow
from app.quoting.quote import Quote
from app.quoting.request import HandOver
from app.store.queries.holding_area import WaitingRow, waiting_batches


@dataclass(frozen=True, slots=True)
class Corral:
    """room: in 11-inch balloons, as the stays. begun: batches on the bench of the order that is asked about anew;
    gone: whether of the later part, for each hand-over of it that has left. Neither is among the stays."""

    room: int
    stays: tuple[Stay, ...]
    now: datetime
    begun: tuple[BatchOf, ...] = ()
    gone: frozenset[bool] = frozenset()


@dataclass(frozen=True, slots=True)
class CorralFit:
    """While the order of a quote waits. fullest: with it. over: where that is too full, the fullest such time.
    already: whether there is such a time without it too."""

    room: int
    fullest: Waiting
    over: Waiting | None
    already: bool


def load_corral(session: Session, room: int, now: datetime, but: int | None = None) -> Corral | None:
    """None where nobody said how much room there is. but: the number of an order that is asked about anew."""
    if not room:
        return None
    rows = waiting_batches(session)
    mine = [row for row in rows if row.number == but]
    return Corral(
        room,
        tuple(_stays([row for row in rows if row.number != but], now)),
        now,
        tuple(_batch_of(row) for row in mine if row.started_at),
        frozenset(row.later for row in mine if row.gone),
    )


def stays_of(answer: Quote, corral: Corral) -> tuple[Stay, ...]:
    """Of the order of a quote, each batch from its latest start on its own; none where a crew fills it there."""
    if answer.wish.hand_over is HandOver.VENUE:
        return ()
    here = [plan for plan in answer.batches if plan.fill.of.later not in corral.gone]
    begun = follow(dict.fromkeys(corral.begun, True), [plan.fill.of for plan in here])
    return tuple(
        Stay(
            corral.now if plan.fill.of in begun else max(plan.window.inflate_by, corral.now),
            plan.ready_by,
            room_of(plan.fill.quantity, plan.fill.size.diameter_in),
        )
        for plan in here
    )


def fit_in_corral(answer: Quote, corral: Corral) -> CorralFit | None:
    """Beside all that waits while it does; None where nothing of it waits."""
    mine = [stay for stay in stays_of(answer, corral) if stay.start < stay.end]
    if not mine:
        return None
    first, last = min(stay.start for stay in mine), max(stay.end for stay in mine)
    together = (*corral.stays, *mine)
    most = fullest(together, first, last)
    if most is None:
        return None
    over = max(overfull(together, first, last, corral.room), key=lambda one: one.room, default=None)
    already = bool(overfull(corral.stays, first, last, corral.room))
    return CorralFit(corral.room, most, over, already)


def _stays(rows: Iterable[WaitingRow], now: datetime) -> Iterator[Stay]:
    """What is overdue is there until it is tapped as handed over, so half a day more each time one asks; what was
    never begun and is overdue that long is none."""
    for row in rows:
        forgotten = row.started_at is None and row.leaves_at <= now - FORGOTTEN
        if not row.gone and not forgotten:
            start = row.started_at or max(row.planned_start or row.inflate_by, now)
            end = row.leaves_at if row.leaves_at > now else now + FORGOTTEN
            yield Stay(start, end, room_of(row.quantity, row.fill_size_in))


def _batch_of(row: WaitingRow) -> BatchOf:
    return BatchOf(row.kind_id, Gas(row.gas), row.treated, row.later)
