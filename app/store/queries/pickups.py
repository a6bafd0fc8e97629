"""This module reads for the pick-ups what leaves the shop, and how far each order has come."""

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import Session

from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, OrderPart, OrderState
from app.store.models import Order, OrderBatch, OrderLine, Tap
from app.store.queries.money import balance_due, balance_paid
from app.store.queries.rentals import TAKEN_DOWN
from app.store.queries.sales import not_quick_sale
from app.store.queries.set_ups import set_ups_sold
from app.store.rows import RowReader


@dataclass(frozen=True, slots=True)
class BatchProgress:
    """How far one batch of a hand-over has come."""

    key: str
    balloon_type_name: str
    quantity: int
    filled: int
    filled_at: datetime | None
    treated: bool
    hung_g: float
    balloon_type_id: int
    gas: str
    weight_g: float | None


@dataclass(frozen=True, slots=True)
class PickupRow:
    """One hand-over: of an order without a later part, of the main part of one that has it, or of its later part.

    due_minor: what is still to pay for the whole order, security deposits included; below 0, it is to be
    paid back.
    """

    id: int
    number: int
    customer: str
    phone: str
    ready_by: datetime
    later_at: datetime | None
    hand_over: HandOver
    arrives_at: datetime | None
    travel_minutes: int
    set_up_minutes: int
    hanging_minutes: int
    crew: int
    address: str
    event_start: datetime | None
    state: OrderState
    verdict: str
    notes: str
    total_minor: int
    due_minor: int
    paid_minor: int
    cancel_fee_minor: int
    set_ups: int
    part: OrderPart = OrderPart.MAIN
    lines: list[str] = field(default_factory=list)
    sold_lines: list[tuple[str, int, Any]] = field(default_factory=list)
    """title, quantity and parts of each line."""
    batches: list[BatchProgress] = field(default_factory=list)
    taps: list[tuple[int, str, datetime, str]] = field(default_factory=list)
    """id, step, when, who: those that stand, oldest first."""

    @property
    def leaves_at(self) -> datetime:
        return self.later_at if self.part is OrderPart.LATER and self.later_at else self.ready_by

    @property
    def arrival_at(self) -> datetime | None:
        """When a delivery arrives, or when a crew can enter."""
        if self.at_venue:
            return self.arrives_at
        return self.leaves_at + timedelta(minutes=self.travel_minutes) if self.arrives_at else None

    @property
    def back_at(self) -> datetime | None:
        """When a crew is back: everything hangs when the event begins, and then it drives home."""
        back = self.event_start + timedelta(minutes=self.travel_minutes) if self.event_start else None
        return back if self.at_venue else None

    @property
    def at_venue(self) -> bool:
        return self.hand_over == HandOver.VENUE

    @property
    def gone_at(self) -> datetime | None:
        """When it was handed over."""
        return next((at for _, act, at, _ in self.taps if act == HandOverStep.HANDED_OVER), None)

    @property
    def is_gone(self) -> bool:
        return self.gone_at is not None

    @property
    def treated(self) -> bool:
        return any(batch.treated and batch.quantity for batch in self.batches)

    @property
    def filled(self) -> int:
        return sum(min(batch.filled, batch.quantity) for batch in self.batches)

    @property
    def quantity(self) -> int:
        return sum(batch.quantity for batch in self.batches)

    @property
    def all_filled(self) -> bool:
        return all(batch.filled_at for batch in self.batches if batch.quantity)


PROGRESS = RowReader(
    BatchProgress,
    key=OrderBatch.key,
    balloon_type_name=OrderBatch.balloon_type_name,
    quantity=OrderBatch.quantity,
    filled=OrderBatch.filled,
    filled_at=OrderBatch.filled_at,
    treated=OrderBatch.treated,
    hung_g=OrderBatch.hung_g,
    balloon_type_id=OrderBatch.balloon_type_id,
    gas=OrderBatch.gas,
    weight_g=OrderBatch.weight_g,
)
PICKUPS = RowReader(
    PickupRow,
    id=Order.id,
    number=Order.number,
    customer=Order.customer,
    phone=Order.phone,
    ready_by=Order.ready_by,
    later_at=Order.later_at,
    hand_over=Order.hand_over,
    arrives_at=Order.arrives_at,
    travel_minutes=Order.travel_minutes,
    set_up_minutes=Order.set_up_minutes,
    hanging_minutes=Order.hanging_minutes,
    crew=Order.crew,
    address=Order.address,
    event_start=Order.event_start,
    state=Order.state,
    verdict=Order.verdict,
    notes=Order.notes,
    total_minor=Order.total_minor,
    due_minor=balance_due(),
    paid_minor=balance_paid(),
    cancel_fee_minor=Order.cancel_fee_minor,
    set_ups=set_ups_sold(),
)


def pickups_of_day(session: Session, start: datetime, end: datetime, *, is_today: bool) -> list[PickupRow]:
    """Returns what leaves between two moments, the first one first; for today also what is left from before: still
    in the shop, or handed over today, which can be undone.

    Quick sales are not among them, because they left already; neither is what was not made.
    """
    day = [and_(leaves >= start, leaves < end) for leaves in (Order.ready_by, Order.later_at)]
    here_until_today = or_(Order.state == OrderState.OPEN, Order.handed_over_at >= start)
    before = [and_(Order.ready_by < start, here_until_today)] if is_today else []
    found = PICKUPS.select().where(or_(*day, *before), Order.state != OrderState.CANCELLED, not_quick_sale())
    found = found.where(Order.not_made_at.is_(None))
    rows = _with_progress(session, PICKUPS.read(session, found))
    wanted = (
        row
        for row in rows
        if start <= row.leaves_at < end
        or (is_today and row.leaves_at < start and (row.gone_at is None or row.gone_at >= start))
    )
    return sorted(wanted, key=lambda row: (row.leaves_at, row.number))


Parts = dict[tuple[int, OrderPart], PickupRow]
"""Hand-overs, by order and part."""


def _with_progress(session: Session, orders: list[PickupRow]) -> list[PickupRow]:
    """Returns one row for each hand-over, with its lines, its batches and its steps."""
    ids = [order.id for order in orders]
    parts = {
        (order.id, part): replace(order, part=part, lines=[], sold_lines=[], batches=[], taps=[])
        for order in orders
        for part in (OrderPart if order.later_at else (OrderPart.MAIN,))
    }
    _add_batches(session, ids, parts)
    _add_lines(session, ids, parts)
    _add_taps(session, ids, parts)
    return list(parts.values())


def _add_lines(session: Session, ids: list[int], parts: Parts) -> None:
    """Adds the lines as sold to the main part, and what is still to come of them to the later one."""
    found = select(OrderLine).where(OrderLine.order_id.in_(ids)).order_by(OrderLine.position)
    for line in session.scalars(found):
        told = f"{line.quantity} × {line.title}" + (f" ({line.colours})" if line.colours else "")
        if not (line.part is OrderPart.LATER and line.balloon_type_id):
            parts[line.order_id, OrderPart.MAIN].lines.append(told)
        for part in OrderPart:
            if (line.order_id, part) in parts:
                parts[line.order_id, part].sold_lines.append((line.title, line.quantity, line.parts))
    for (_, part), row in parts.items():
        if part is OrderPart.LATER:
            row.lines.extend(
                f"{batch.quantity} × {batch.balloon_type_name}" for batch in row.batches if batch.quantity
            )


def _add_batches(session: Session, ids: list[int], parts: Parts) -> None:
    found = PROGRESS.select(OrderBatch.order_id, OrderBatch.part).where(OrderBatch.order_id.in_(ids))
    for row in session.execute(found.order_by(OrderBatch.id)):
        if (row.order_id, row.part) in parts:
            parts[row.order_id, row.part].batches.append(PROGRESS.build(row))


def _add_taps(session: Session, ids: list[int], parts: Parts) -> None:
    found = select(Tap.order_id, Tap.part, Tap.id, Tap.act, Tap.at, Tap.who).where(
        Tap.order_id.in_(ids), Tap.batch_id.is_(None), Tap.undone_at.is_(None), Tap.act != TAKEN_DOWN
    )
    for row in session.execute(found.order_by(Tap.id)):
        if (row.order_id, row.part) in parts:
            parts[row.order_id, row.part].taps.append((row.id, row.act, row.at, row.who))
