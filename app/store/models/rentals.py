"""These tables store rental items that go out with an order and come back."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.store.types import STRICT, Base


class Rental(Base):
    """Rental items of one sort that go out with an order. deposit_minor: the security deposit on one."""

    __tablename__ = "rental"
    __table_args__ = (CheckConstraint("quantity >= 0 AND deposit_minor >= 0", name="figures"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    order_id: Mapped[int] = mapped_column(ForeignKey("orders.id", ondelete="CASCADE"), index=True)
    supply_id: Mapped[int] = mapped_column(ForeignKey("supply.id"))
    name: Mapped[str]
    quantity: Mapped[int]
    deposit_minor: Mapped[int]


class RentalReturn(Base):
    """How many rental items came back, and how many are lost. kept_minor: the part of the security deposit
    that the shop does not pay back. Returns that were undone stay in the table."""

    __tablename__ = "rental_return"
    __table_args__ = (CheckConstraint("back >= 0 AND lost >= 0 AND kept_minor >= 0", name="figures"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(unique=True)
    rental_id: Mapped[int] = mapped_column(ForeignKey("rental.id", ondelete="CASCADE"), index=True)
    back: Mapped[int]
    lost: Mapped[int]
    kept_minor: Mapped[int]
    note: Mapped[str]
    at: Mapped[datetime]
    who: Mapped[str]
    undone_at: Mapped[datetime | None]
    undone_by: Mapped[str | None]

    @property
    def submission_key(self) -> str:
        """The key of the press that saved this return."""
        return self.client_key.rpartition(".")[0]

    @staticmethod
    def key_of(submission_key: str, rental_id: int) -> str:
        """Returns the key of one return in a press: one press may bring back several sorts."""
        return f"{submission_key}.{rental_id}"
