"""These tables store the stock: lots as they came in, every change of them, and deliveries on their way."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from app.quoting.states import StockMoveReason
from app.store.types import STRICT, Base, EnumText, enum_check, only_where

IS_THERE = "on_hand <> 0"
ONE_THING = "(balloon_type_id IS NULL) <> (supply_id IS NULL)"


class Lot(Base):
    """Stock that came in together: balloons of one type and colour, or a supply in its unit.

    colour: as the pack says; empty when it says none or holds several. on_hand: what came in, plus and minus all
    its moves. set_aside_at: since when it is for water weights and practice only.
    """

    __tablename__ = "lot"
    __table_args__ = (
        CheckConstraint(ONE_THING, name="one_thing"),
        CheckConstraint("arrived > 0", name="arrived"),
        Index("ix_lot_balloon_type_id_received_on", "balloon_type_id", "received_on"),
        Index("ix_lot_supply_id_received_on", "supply_id", "received_on"),
        Index("ix_lot_balloon_type_id_there", "balloon_type_id", **only_where(IS_THERE)),
        Index("ix_lot_supply_id_there", "supply_id", **only_where(IS_THERE)),
        Index("ix_lot_balloon_type_id_colour", "balloon_type_id", "colour_folded", "colour"),
        Index("ix_lot_supply_id_colour", "supply_id", "colour_folded", "colour"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(unique=True)
    balloon_type_id: Mapped[int | None] = mapped_column(ForeignKey("balloon_type.id"))
    supply_id: Mapped[int | None] = mapped_column(ForeignKey("supply.id"))
    colour: Mapped[str] = mapped_column(index=True)
    colour_folded: Mapped[str]
    received_on: Mapped[date]
    arrived: Mapped[float]
    on_hand: Mapped[float]
    set_aside_at: Mapped[datetime | None]
    set_aside_why: Mapped[str] = mapped_column(default="")


class StockMove(Base):
    """A change of a lot: more (+) or less (−), and what for. An undo is a row of its own that moves it back.

    batch_id: the batch for which they were filled or burst. order_id: the order with which they were handed over.
    """

    __tablename__ = "stock_move"
    __table_args__ = (
        enum_check("sort", StockMoveReason),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    lot_id: Mapped[int] = mapped_column(ForeignKey("lot.id", ondelete="CASCADE"), index=True)
    sort: Mapped[StockMoveReason] = mapped_column(EnumText(StockMoveReason))
    change: Mapped[float]
    why: Mapped[str]
    batch_id: Mapped[int | None] = mapped_column(ForeignKey("batch.id", ondelete="SET NULL"), index=True)
    order_id: Mapped[int | None] = mapped_column(ForeignKey("orders.id", ondelete="SET NULL"), index=True)
    at: Mapped[datetime]
    who: Mapped[str]


class Delivery(Base):
    """What was ordered and is due on a day. pieces: in all packs together, in the unit of a supply. lot_id: the lot
    that it became when it arrived. withdrawn_at: since when it is known that it will not come."""

    __tablename__ = "delivery"
    __table_args__ = (
        CheckConstraint(ONE_THING, name="one_thing"),
        CheckConstraint("packs > 0 AND pieces > 0", name="figures"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(unique=True)
    balloon_type_id: Mapped[int | None] = mapped_column(ForeignKey("balloon_type.id"))
    supply_id: Mapped[int | None] = mapped_column(ForeignKey("supply.id"))
    colour: Mapped[str]
    colour_folded: Mapped[str]
    packs: Mapped[int]
    pieces: Mapped[float]
    due_on: Mapped[date] = mapped_column(index=True)
    added_at: Mapped[datetime]
    who: Mapped[str]
    lot_id: Mapped[int | None] = mapped_column(ForeignKey("lot.id", ondelete="SET NULL"))
    withdrawn_at: Mapped[datetime | None]
