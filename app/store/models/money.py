"""These tables store the add-ons of an order, and its payments."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.quoting.request import ExtraSort
from app.quoting.states import PaymentDirection, PaymentMethod
from app.store.types import STRICT, Base, EnumText, enum_check


class OrderExtra(Base):
    """An add-on of an order as it was sold: a supply, or a service such as delivery. unit_minor: the price of one.
    deposit_minor: the deposit for one rental item. of_one: how much of the supply one is."""

    __tablename__ = "order_extra"
    __table_args__ = (
        enum_check("sort", ExtraSort),
        CheckConstraint("quantity > 0 AND unit_minor >= 0 AND deposit_minor >= 0", name="figures"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    order_id: Mapped[int] = mapped_column(ForeignKey("orders.id", ondelete="CASCADE"), index=True)
    position: Mapped[int]
    sort: Mapped[ExtraSort] = mapped_column(EnumText(ExtraSort))
    supply_id: Mapped[int | None] = mapped_column(ForeignKey("supply.id"))
    title: Mapped[str]
    quantity: Mapped[int]
    unit_minor: Mapped[int]
    deposit_minor: Mapped[int]
    of_one: Mapped[float] = mapped_column(default=1.0)


class Payment(Base):
    """Money that a customer paid or got back, entered by hand; a card's number is never stored.

    amount_minor: above 0. rental: whether it is a security deposit rather than part of the price. Payments
    that were undone stay in the table.
    """

    __tablename__ = "payment"
    __table_args__ = (
        enum_check("direction", PaymentDirection),
        enum_check("how", PaymentMethod),
        CheckConstraint("amount_minor > 0", name="amount"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(unique=True)
    order_id: Mapped[int] = mapped_column(ForeignKey("orders.id", ondelete="CASCADE"), index=True)
    direction: Mapped[PaymentDirection] = mapped_column(EnumText(PaymentDirection))
    rental: Mapped[bool]
    amount_minor: Mapped[int]
    how: Mapped[PaymentMethod] = mapped_column(EnumText(PaymentMethod))
    note: Mapped[str]
    at: Mapped[datetime]
    who: Mapped[str]
    undone_at: Mapped[datetime | None]
    undone_by: Mapped[str | None]
