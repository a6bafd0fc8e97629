"""The pick-ups read what leaves, with how far each order has come."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import Select, and_, or_, select
from sqlalchemy.orm import Session

from app.store.models import Batch, Order, OrderLine, Tap
from app.store.queries.sales import not_sold_at_once


@dataclass(frozen=True, slots=True)
class BatchProgress:
    key: str
    quantity: int
    filled: int
    filled_at: datetime | None
    treated: bool


@dataclass(frozen=True, slots=True)
class PickupRow:
    id: int
    number: int
    customer: str
    phone: str
    ready_by: datetime
    hand_over: str
    arrives_at: datetime | None
    address: str
    event_start: datetime | None
    state: str
    verdict: str
    word: str
    notes: str
    handed_over_at: datetime | None
    total_minor: int
    lines: list[str] = field(default_factory=list)
    batches: list[BatchProgress] = field(default_factory=list)
    taps: list[tuple[int, str, datetime, str]] = field(default_factory=list)
    """id, step, when, who: those that stand, oldest first."""

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


def _orders() -> Select[*tuple[Any, ...]]:
    return select(
        Order.id,
        Order.number,
        Order.customer,
        Order.phone,
        Order.ready_by,
        Order.hand_over,
        Order.arrives_at,
        Order.address,
        Order.event_start,
        Order.state,
        Order.verdict,
        Order.word,
        Order.notes,
        Order.handed_over_at,
        Order.total_minor,
    )


def pickups_of_day(session: Session, start: datetime, end: datetime, *, is_today: bool) -> list[PickupRow]:
    """Orders that leave between two moments, by ready-by; for today also those still here from before. Sales
    over the counter are gone already."""
    wanted = and_(Order.ready_by >= start, Order.ready_by < end)
    if is_today:
        wanted = or_(wanted, and_(Order.ready_by < start, Order.state == "open"))
    found = _orders().where(wanted, Order.state != "cancelled", not_sold_at_once())
    found = found.order_by(Order.ready_by, Order.number)
    return _with_progress(session, [PickupRow(*row) for row in session.execute(found)])


def _with_progress(session: Session, rows: list[PickupRow]) -> list[PickupRow]:
    by_id = {row.id: row for row in rows}
    for order_id, quantity, title, colours in session.execute(
        select(OrderLine.order_id, OrderLine.quantity, OrderLine.title, OrderLine.colours)
        .where(OrderLine.order_id.in_(by_id))
        .order_by(OrderLine.position)
    ):
        by_id[order_id].lines.append(f"{quantity} × {title}" + (f" ({colours})" if colours else ""))
    for order_id, key, quantity, filled, filled_at, treated in session.execute(
        select(Batch.order_id, Batch.key, Batch.quantity, Batch.filled, Batch.filled_at, Batch.treated)
        .where(Batch.order_id.in_(by_id))
        .order_by(Batch.id)
    ):
        by_id[order_id].batches.append(BatchProgress(key, quantity, filled, filled_at, treated))
    _add_taps(session, by_id)
    return rows


def _add_taps(session: Session, by_id: dict[int, PickupRow]) -> None:
    found = select(Tap.order_id, Tap.id, Tap.act, Tap.at, Tap.who).where(
        Tap.order_id.in_(by_id), Tap.batch_id.is_(None), Tap.undone_at.is_(None)
    )
    for order_id, tap_id, act, at, who in session.execute(found.order_by(Tap.id)):
        by_id[order_id].taps.append((tap_id, act, at, who))
