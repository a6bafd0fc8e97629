"""These tables store the customers: a name, its phones, and what was changed."""

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.store.types import STRICT, Base, Json


class Customer(Base):
    """A caller with a name.

    name_folded and phone_digits are searched; phone_digits has the digits of every phone, with a space between
    them. latex_allergy: whether their new orders begin with the warning. merged_into_id: the customer into whom
    this one was merged, because both were the same person.
    """

    __tablename__ = "customer"
    __table_args__ = (
        # Whoever ordered last comes first: a search walks along this, reads nothing else, and often stops early.
        Index("ix_customer_latest", "merged_into_id", "last_order_at", "phone_digits", "name_folded"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    name_folded: Mapped[str] = mapped_column(index=True)
    phone_digits: Mapped[str]
    last_order_at: Mapped[datetime | None]
    latex_allergy: Mapped[bool] = mapped_column(default=False)
    merged_into_id: Mapped[int | None] = mapped_column(ForeignKey("customer.id"))
    phones: Mapped[list["CustomerPhone"]] = relationship(
        cascade="all, delete-orphan", order_by="CustomerPhone.id", lazy="selectin"
    )


class CustomerPhone(Base):
    """A phone of a customer, as it was typed."""

    __tablename__ = "customer_phone"
    __table_args__ = (STRICT,)
    id: Mapped[int] = mapped_column(primary_key=True)
    customer_id: Mapped[int] = mapped_column(ForeignKey("customer.id", ondelete="CASCADE"), index=True)
    shown: Mapped[str]


class CustomerHistory(Base):
    """Who did what to a customer, and when. changes: [[what, before, after], …] in words for a person."""

    __tablename__ = "customer_history"
    __table_args__ = (STRICT,)
    id: Mapped[int] = mapped_column(primary_key=True)
    customer_id: Mapped[int] = mapped_column(ForeignKey("customer.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime]
    who: Mapped[str]
    act: Mapped[str]
    changes: Mapped[Any] = mapped_column(Json(), nullable=False)
