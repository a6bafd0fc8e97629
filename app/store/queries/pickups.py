"""This module reads for the pick-ups what leaves the shop, and how far each order has come."""

from dataclasses import replace
from datetime import datetime

from sqlalchemy import and_, select
from sqlalchemy.orm import Session

from app.quoting.states import HandOverStep, OrderPart, OrderState, PaymentDirection
from app.store.models import Order, OrderBatch, OrderLine, Payment, Rental, Tap
from app.store.queries.by_index import is_any_of
from app.store.queries.money import balance_due, balance_paid
from app.store.queries.pickup_rows import BatchProgress, PickupLine, PickupRow, StepTap
from app.store.queries.progress import parts_with_step
from app.store.queries.rentals import TAKEN_DOWN
from app.store.queries.review_sales import is_late
from app.store.queries.sales import not_quick_sale
from app.store.queries.set_ups import set_ups_sold
from app.store.rows import RowReader

PROGRESS = RowReader(
    BatchProgress,
    key=OrderBatch.key,
    balloon_type_name=OrderBatch.balloon_type_name,
    quantity=OrderBatch.quantity,
    spares=OrderBatch.spares,
    material=OrderBatch.material,
    colours=OrderBatch.colours,
    filled=OrderBatch.filled,
    filled_at=OrderBatch.filled_at,
    started_at=OrderBatch.started_at,
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
    not_made_at=Order.not_made_at,
    parts_gone=parts_with_step(HandOverStep.HANDED_OVER),
    verdict=Order.verdict,
    notes=Order.notes,
    holding_place=Order.holding_place,
    later_holding_place=Order.later_holding_place,
    total_minor=Order.total_minor,
    due_minor=balance_due(),
    paid_minor=balance_paid(),
    cancel_fee_minor=Order.cancel_fee_minor,
    set_ups=set_ups_sold(),
    was_late=and_(Order.state == OrderState.HANDED_OVER, is_late()),
    late_reason=Order.late_reason,
)


def pickups_of_day(session: Session, start: datetime, end: datetime, *, is_today: bool) -> list[PickupRow]:
    """Returns what leaves between two moments, the first one first; for today also what is left from before: still
    in the shop, or handed over today, which can be undone.

    Quick sales are not among them, because they left already; neither is what was not made.
    """
    day = [and_(leaves >= start, leaves < end) for leaves in (Order.ready_by, Order.later_at)]
    before = [and_(Order.state == OrderState.OPEN, Order.ready_by < start), Order.handed_over_at >= start]
    found = PICKUPS.select().where(
        is_any_of(*day, *(before if is_today else ())), Order.state != OrderState.CANCELLED
    )
    found = found.where(Order.not_made_at.is_(None), not_quick_sale())
    rows = _with_progress(session, PICKUPS.read(session, found))
    wanted = (
        row
        for row in rows
        if start <= row.leaves_at < end
        or (is_today and row.leaves_at < start and (row.gone_at is None or row.gone_at >= start))
    )
    return sorted(wanted, key=lambda row: (row.leaves_at, row.number))


def pickups_of_order(session: Session, number: int) -> list[PickupRow]:
    """Returns the hand-overs of an order, its main part first; none if there is no order with this number, or if it
    is cancelled."""
    found = PICKUPS.select().where(Order.number == number, Order.state != OrderState.CANCELLED)
    return _with_progress(session, PICKUPS.read(session, found))


Parts = dict[tuple[int, OrderPart], PickupRow]
"""Hand-overs, by order and part."""


def _with_progress(session: Session, orders: list[PickupRow]) -> list[PickupRow]:
    """Returns one row for each hand-over, with its lines, its batches and its steps."""
    ids = [order.id for order in orders]
    parts = {
        (order.id, part): replace(
            order, part=part, lines=[], sold_lines=[], batches=[], taps=[], payments=[], rentals=[]
        )
        for order in orders
        for part in (OrderPart if order.later_at else (OrderPart.MAIN,))
    }
    _add_batches(session, ids, parts)
    _add_lines(session, ids, parts)
    _add_taps(session, ids, parts)
    _add_payments(session, ids, parts)
    _add_rentals(session, ids, parts)
    return list(parts.values())


def _add_lines(session: Session, ids: list[int], parts: Parts) -> None:
    """Adds the lines as sold to the main part, and what is still to come of them to the later one."""
    found = select(OrderLine).where(OrderLine.order_id.in_(ids)).order_by(OrderLine.position)
    for line in session.scalars(found):
        sold = PickupLine(f"{line.quantity} × {line.title}", _colours_of(line), line.design_id is not None)
        if not (line.part is OrderPart.LATER and line.balloon_type_id):
            parts[line.order_id, OrderPart.MAIN].lines.append(sold)
        for part in OrderPart:
            if (line.order_id, part) in parts:
                parts[line.order_id, part].sold_lines.append((line.title, line.quantity, line.parts))
    for (_, part), row in parts.items():
        if part is OrderPart.LATER:
            row.lines.extend(
                PickupLine(
                    f"{batch.quantity} × {batch.balloon_type_name}",
                    tuple(name for name, _ in batch.colours if name),
                    is_design=False,
                )
                for batch in row.batches
                if batch.quantity
            )


def _colours_of(line: OrderLine) -> tuple[str, ...]:
    """Returns the names of the colours of a line, each once."""
    return tuple(dict.fromkeys(name for part in line.parts for name, _ in part["colours"] if name))


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
        for part in OrderPart if row.act == HandOverStep.ON_ACCOUNT else (row.part,):  # of the whole order
            if (row.order_id, part) in parts:
                parts[row.order_id, part].taps.append(StepTap(id=row.id, act=row.act, at=row.at, who=row.who))


def _add_payments(session: Session, ids: list[int], parts: Parts) -> None:
    found = select(Payment.order_id, Payment.at, Payment.who).where(
        Payment.order_id.in_(ids), Payment.undone_at.is_(None), Payment.direction == PaymentDirection.IN
    )
    for row in session.execute(found.order_by(Payment.id)):
        for part in OrderPart:
            if (row.order_id, part) in parts:
                parts[row.order_id, part].payments.append((row.at, row.who))


def _add_rentals(session: Session, ids: list[int], parts: Parts) -> None:
    found = select(Rental.order_id, Rental.name, Rental.quantity).where(Rental.order_id.in_(ids))
    for row in session.execute(found.order_by(Rental.id)):
        parts[row.order_id, OrderPart.MAIN].rentals.append((row.name, row.quantity))
