"""This module reads rental items that go out with orders and come back, and the take-down trips that fetch them."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any

from sqlalchemy import ColumnElement, Row, Select, and_, case, exists, func, or_, select
from sqlalchemy.orm import Session

from app.quoting.states import HandOverStep, OrderState, PaymentDirection
from app.store.models import Order, OrderBatch, Payment, Rental, RentalReturn, Tap
from app.store.queries.by_index import is_any_of, is_unreturned
from app.store.rows import RowReader

TAKEN_DOWN = "cut and binned"
"""Tapped at a take-down, on the order itself: no step of its hand-over."""
LONGEST_TRIP = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class RentedGoods:
    """The rental items of one sort in one order. back, lost, kept_minor: the sums of all returns that were not
    undone."""

    id: int
    name: str
    quantity: int
    deposit_minor: int
    back: int = 0
    lost: int = 0
    kept_minor: int = 0

    @property
    def returned(self) -> int:
        return self.back + self.lost

    @property
    def out(self) -> int:
        return max(0, self.quantity - self.returned)


@dataclass(frozen=True, slots=True)
class RentalReturnRow:
    """A return of rental items of one sort. submission_key: the key that all returns of the same press share. back,
    lost: how many pieces. kept_minor: what is kept of their deposits."""

    id: int
    submission_key: str
    name: str
    back: int
    lost: int
    kept_minor: int
    note: str
    at: datetime
    who: str


@dataclass(frozen=True, slots=True)
class TakeDownTap:
    """The tap that says that the balloons of an order were cut and binned."""

    tap_id: int
    at: datetime
    who: str


@dataclass(frozen=True, slots=True)
class OrderRentals:
    """An order with rental items or a take-down.

    gone_at: when the first part of it was handed over, or None. held_minor: security deposits that were
    paid, less what was paid back.
    """

    order_id: int
    number: int
    customer: str
    phone: str
    address: str
    state: OrderState
    return_by: datetime | None
    take_down_at: datetime | None
    travel_minutes: int
    crew: int
    balloons: int
    gone_at: datetime | None
    held_minor: int
    cut: TakeDownTap | None = None
    goods: list[RentedGoods] = field(default_factory=list)
    returns: list[RentalReturnRow] = field(default_factory=list)
    """What was noted and stands, oldest first."""

    @property
    def has_take_down(self) -> bool:
        """Whether a crew fetches them."""
        return self.take_down_at is not None

    @property
    def due(self) -> datetime | None:
        """When they are due, or when the crew fetches them; None when neither is set."""
        return self.take_down_at or self.return_by

    @property
    def out(self) -> int:
        """How many pieces are with the customer; before the hand-over, how many will be."""
        return sum(good.out for good in self.goods)

    @property
    def is_done(self) -> bool:
        return self.out == 0 and (not self.has_take_down or self.cut is not None)

    @property
    def deposits_agreed_minor(self) -> int:
        return sum(good.quantity * good.deposit_minor for good in self.goods)

    @property
    def kept_minor(self) -> int:
        return sum(good.kept_minor for good in self.goods)

    @property
    def refund_minor(self) -> int:
        """The part of what is held that is to be paid back: neither for pieces that are still out nor kept."""
        still_out = sum(good.out * good.deposit_minor for good in self.goods)
        return max(0, self.held_minor - still_out - self.kept_minor)


def returned_pieces() -> ColumnElement[int]:
    """Returns an SQL expression for the pieces of a rental that came back or are lost."""
    mine = select(func.coalesce(func.sum(RentalReturn.back + RentalReturn.lost), 0)).where(
        RentalReturn.rental_id == Rental.id, RentalReturn.undone_at.is_(None)
    )
    return mine.correlate(Rental).scalar_subquery()


def active_returns(session: Session, order_id: int) -> list[RentalReturn]:
    """Returns the returns of an order that were not undone."""
    found = select(RentalReturn).join(Rental, Rental.id == RentalReturn.rental_id)
    mine = found.where(Rental.order_id == order_id, RentalReturn.undone_at.is_(None))
    return list(session.scalars(mine.order_by(RentalReturn.id)))


def _cut_of_order() -> ColumnElement[bool]:
    """Returns the condition of the tap that says the balloons of an order were cut; at most one is not undone."""
    return and_(Tap.order_id == Order.id, Tap.batch_id.is_(None), Tap.act == TAKEN_DOWN, Tap.undone_at.is_(None))


def _is_cut() -> ColumnElement[bool]:
    return exists().where(_cut_of_order()).correlate(Order)


def _has_goods_out() -> ColumnElement[bool]:
    return exists().where(Rental.order_id == Order.id, Rental.quantity > returned_pieces()).correlate(Order)


def is_unfinished() -> ColumnElement[bool]:
    """Returns the condition that rental items are not back, or balloons are not taken down."""
    return or_(_has_goods_out(), and_(Order.take_down_at.is_not(None), ~_is_cut()))


def cut_at() -> ColumnElement[Any]:
    """When the balloons were cut."""
    return select(func.max(Tap.at)).where(_cut_of_order()).correlate(Order).scalar_subquery()


def returned_at() -> ColumnElement[Any]:
    """When the last goods came back."""
    back = select(func.max(RentalReturn.at)).join(Rental, Rental.id == RentalReturn.rental_id)
    mine = back.where(Rental.order_id == Order.id, RentalReturn.undone_at.is_(None)).correlate(Order)
    return mine.scalar_subquery()


def _gone_at() -> ColumnElement[Any]:
    mine = (Tap.order_id == Order.id, Tap.act == HandOverStep.HANDED_OVER, Tap.undone_at.is_(None))
    return select(func.min(Tap.at)).where(*mine).correlate(Order).scalar_subquery()


def _held_minor() -> ColumnElement[int]:
    amount = case((Payment.direction == PaymentDirection.IN, Payment.amount_minor), else_=-Payment.amount_minor)
    mine = (Payment.order_id == Order.id, Payment.rental.is_(True), Payment.undone_at.is_(None))
    return select(func.coalesce(func.sum(amount), 0)).where(*mine).correlate(Order).scalar_subquery()


def _balloons() -> ColumnElement[int]:
    mine = select(func.coalesce(func.sum(OrderBatch.quantity), 0)).where(OrderBatch.order_id == Order.id)
    return mine.correlate(Order).scalar_subquery()


RENTALS = RowReader(
    OrderRentals,
    order_id=Order.id,
    number=Order.number,
    customer=Order.customer,
    phone=Order.phone,
    address=Order.address,
    state=Order.state,
    return_by=Order.return_by,
    take_down_at=Order.take_down_at,
    travel_minutes=Order.travel_minutes,
    crew=Order.crew,
    balloons=_balloons(),
    gone_at=_gone_at(),
    held_minor=_held_minor(),
)


def rentals_of_day(session: Session, start: datetime, end: datetime, *, is_today: bool) -> list[OrderRentals]:
    """Returns what comes back, or is fetched, between two moments, the first one first.

    It includes trips of the following night, for which the crew may leave before. For today it includes what is
    still out from before.
    """
    due = func.coalesce(Order.take_down_at, Order.return_by)
    fetched = and_(Order.take_down_at >= start, Order.take_down_at < end + LONGEST_TRIP)
    brought = and_(Order.return_by >= start, Order.return_by < end, due == Order.return_by)
    wanted = [fetched, brought]
    if is_today:
        wanted.append(and_(is_unreturned(), due < start, _is_gone()))
    rows = (row for row in _with_goods(session, is_any_of(*wanted)) if row.goods or row.has_take_down)
    return sorted(rows, key=lambda row: (row.due, row.number))


def rentals_out(session: Session) -> list[OrderRentals]:
    """Returns the orders whose rental items are with customers: first what was due first, last what has no due
    time."""
    rows = _with_goods(session, and_(is_unreturned(), _is_gone(), _has_goods_out()))
    return sorted(rows, key=lambda row: (row.due is None, row.due or row.gone_at, row.number))


def rentals_of_order(session: Session, number: int) -> OrderRentals | None:
    """Returns the rentals of an order, even if it has none; None when there is no such order, or when it is
    cancelled."""
    return next(iter(_with_goods(session, Order.number == number)), None)


def _is_gone() -> ColumnElement[bool]:
    """Returns the condition that a part of an order was handed over."""
    mine = (Tap.order_id == Order.id, Tap.act == HandOverStep.HANDED_OVER, Tap.undone_at.is_(None))
    return exists().where(*mine).correlate(Order)


def _with_goods(session: Session, wanted: ColumnElement[bool]) -> list[OrderRentals]:
    """Returns the orders that meet the condition, each with its cut, its rentals and their returns, in one
    statement."""
    found: Select[*tuple[Any, ...]] = (
        RENTALS.select(
            Tap.id.label("tap_id"), Tap.at.label("cut_at"), Tap.who.label("cut_by"), Rental, RentalReturn
        )
        .select_from(Order)
        .outerjoin(Tap, _cut_of_order())
        .outerjoin(Rental, Rental.order_id == Order.id)
        .outerjoin(RentalReturn, and_(RentalReturn.rental_id == Rental.id, RentalReturn.undone_at.is_(None)))
        .where(wanted, Order.state != OrderState.CANCELLED)
        .order_by(Order.id, Rental.id, RentalReturn.id)
    )
    by_order = groupby(session.execute(found).all(), key=lambda one: one.order_id)
    return [_row(list(of_order)) for _, of_order in by_order]


def _row(found: Sequence[Row[*tuple[Any, ...]]]) -> OrderRentals:
    """All that was found of one order."""
    first = found[0]
    cut = TakeDownTap(tap_id=first.tap_id, at=first.cut_at, who=first.cut_by) if first.tap_id else None
    row = RENTALS.build(first, cut=cut)
    for rental, of_hire in groupby((one for one in found if one.Rental), key=lambda one: one.Rental):
        came = [one.RentalReturn for one in of_hire if one.RentalReturn]
        if rental.quantity or came:
            row.goods.append(_good(rental, came))
        row.returns.extend(_came(rental, one) for one in came)
    row.returns.sort(key=lambda one: one.id)
    return row


def _good(rental: Rental, came: Sequence[RentalReturn]) -> RentedGoods:
    """Returns the rental items of one sort with their returns."""
    return RentedGoods(
        id=rental.id,
        name=rental.name,
        quantity=rental.quantity,
        deposit_minor=rental.deposit_minor,
        back=sum(one.back for one in came),
        lost=sum(one.lost for one in came),
        kept_minor=sum(one.kept_minor for one in came),
    )


def _came(rental: Rental, one: RentalReturn) -> RentalReturnRow:
    """Returns one return of rental items as a row."""
    return RentalReturnRow(
        id=one.id,
        submission_key=one.submission_key,
        name=rental.name,
        back=one.back,
        lost=one.lost,
        kept_minor=one.kept_minor,
        note=one.note,
        at=one.at,
        who=one.who,
    )
