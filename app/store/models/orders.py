"""These tables store orders with their lines, their batches on the bench, the taps on them, and their history."""

from datetime import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.physics.light import Surroundings
from app.physics.material import Material
from app.quoting.policy import TaxMode
from app.quoting.request import HandOver, Occasion, Service
from app.quoting.states import LateReason, OrderPart, OrderState
from app.store.models.money import OrderExtra
from app.store.models.rentals import Rental
from app.store.types import STRICT, Base, EnumText, Json, enum_check, only_where


class Order(Base):
    """What one customer wants. Times are moments; amounts are in minor units.

    client_key: makes it harmless to save the same order twice. customer, phone: as they were typed, even if the
    customer of customer_id changes; customer_folded and phone_digits are searched.

    ready_by: when the order, or the crew that fills it at the venue, leaves the shop. later_at: when its later part
    leaves. return_by: when its rental items are due. take_down_at: when a crew fetches them. handed_over_at: stays
    when a quick sale is undone.

    latex_allergy: whether somebody at the venue, or the customer, is allergic to latex. holding_place: where in the
    holding area it stands, in a few words; later_holding_place: where its later part does.

    accepted_risk: the customer's words. bench_override, stock_override: why it was taken although it does not fit
    on the bench, or although stock or gas were short. batches_numbered: how many batches were ever numbered, so
    that no key is used twice.

    cancelled_at, cancel_reason, cancel_fee_minor: when and why it was cancelled, and the fee that the shop keeps;
    None, empty and 0 unless it is cancelled, and of a quick sale that was undone. not_made_at: since when it is
    known that it was not made in time; it stays open, but nobody works on it any more. late_reason: why it was late
    or not made; None until somebody says it.

    venue_minor: the fee for filling at the venue, as sold. discount: as it was typed. tax_percent, tax_mode: as
    sold. total_minor: what the customer pays, with tax; rental_deposit_minor, the security deposit, comes on top
    and is paid back. unpaid, unreturned: kept by `open_flags.py`. cost: what it costs the shop, [[what, minor], …];
    cost_minor is their sum, None for orders from before costs were calculated.
    """

    __tablename__ = "orders"
    __table_args__ = (
        enum_check("occasion", Occasion),
        enum_check("surroundings", Surroundings),
        enum_check("hand_over", HandOver),
        enum_check("state", OrderState),
        enum_check("tax_mode", TaxMode),
        enum_check("late_reason", LateReason),
        Index("ix_orders_state_ready_by", "state", "ready_by"),
        # A search walks along this, the latest first, and reads nothing else until it has found its page.
        Index("ix_orders_ready_by", "ready_by", "id", "customer_folded", "phone_digits", "number"),
        # Their first column is always 1: SQLite then knows that it need not read all orders.
        Index("ix_orders_unpaid_ready_by", "unpaid", "ready_by", **only_where("unpaid = 1")),
        Index("ix_orders_unreturned", "unreturned", **only_where("unreturned = 1")),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(unique=True)
    client_key: Mapped[str] = mapped_column(unique=True)
    version: Mapped[int]
    state: Mapped[OrderState] = mapped_column(EnumText(OrderState))
    customer: Mapped[str]
    customer_folded: Mapped[str]
    phone: Mapped[str]
    phone_digits: Mapped[str] = mapped_column(index=True)
    occasion: Mapped[Occasion] = mapped_column(EnumText(Occasion))
    event_start: Mapped[datetime | None] = mapped_column(index=True)
    lasts_until: Mapped[datetime | None]
    surroundings: Mapped[Surroundings] = mapped_column(EnumText(Surroundings))
    venue_celsius: Mapped[float | None]
    venue_elevation_m: Mapped[float | None]
    wind_m_s: Mapped[float | None]
    hand_over: Mapped[HandOver] = mapped_column(EnumText(HandOver))
    ready_by: Mapped[datetime]
    arrives_at: Mapped[datetime | None] = mapped_column(index=True)
    travel_minutes: Mapped[int]
    later_at: Mapped[datetime | None] = mapped_column(index=True)
    set_up_minutes: Mapped[int]
    hanging_minutes: Mapped[int]
    crew: Mapped[int]
    venue_minor: Mapped[int]
    address: Mapped[str]
    notes: Mapped[str]
    latex_allergy: Mapped[bool] = mapped_column(default=False)
    holding_place: Mapped[str | None]
    later_holding_place: Mapped[str | None]
    verdict: Mapped[str]
    accepted_risk: Mapped[str]
    bench_override: Mapped[str] = mapped_column(default="")
    stock_override: Mapped[str] = mapped_column(default="")
    total_minor: Mapped[int]
    finishing_minutes: Mapped[int]
    first_fill_by: Mapped[datetime | None]
    batches_numbered: Mapped[int]
    taken_at: Mapped[datetime] = mapped_column(index=True)
    customer_id: Mapped[int | None] = mapped_column(ForeignKey("customer.id"), index=True)
    handed_over_at: Mapped[datetime | None] = mapped_column(index=True)
    cancelled_at: Mapped[datetime | None] = mapped_column(index=True)
    cancel_reason: Mapped[str] = mapped_column(default="")
    cancel_fee_minor: Mapped[int] = mapped_column(default=0)
    not_made_at: Mapped[datetime | None]
    late_reason: Mapped[LateReason | None] = mapped_column(EnumText(LateReason))
    discount: Mapped[str] = mapped_column(default="")
    discount_minor: Mapped[int] = mapped_column(default=0)
    tax_percent: Mapped[float] = mapped_column(default=0.0)
    tax_mode: Mapped[TaxMode] = mapped_column(EnumText(TaxMode), default=TaxMode.NONE)
    tax_minor: Mapped[int] = mapped_column(default=0)
    deposit_asked_minor: Mapped[int] = mapped_column(default=0)
    rental_deposit_minor: Mapped[int] = mapped_column(default=0)
    cost: Mapped[Any] = mapped_column(Json(), nullable=False, default=list)
    cost_minor: Mapped[int | None]
    unpaid: Mapped[bool] = mapped_column(default=False)
    unreturned: Mapped[bool] = mapped_column(default=False)
    return_by: Mapped[datetime | None] = mapped_column(index=True)
    take_down_at: Mapped[datetime | None] = mapped_column(index=True)
    lines: Mapped[list["OrderLine"]] = relationship(
        cascade="all, delete-orphan", order_by="OrderLine.position", lazy="selectin"
    )
    extras: Mapped[list[OrderExtra]] = relationship(
        cascade="all, delete-orphan", order_by=OrderExtra.position, lazy="selectin"
    )
    rentals: Mapped[list[Rental]] = relationship(cascade="all, delete-orphan", order_by=Rental.id, lazy="selectin")
    batches: Mapped[list["OrderBatch"]] = relationship(
        back_populates="order", cascade="all, delete-orphan", order_by="OrderBatch.id", lazy="selectin"
    )

    @property
    def is_quick_sale(self) -> bool:
        """Whether it was handed over in the same moment in which it was taken."""
        return self.occasion is Occasion.NOW and self.handed_over_at == self.taken_at


class OrderLine(Base):
    """A quantity of a design or of loose balloons, as sold: its title, price and parts do not change when the
    catalogue does.

    parts: [{"balloon_type_id", "gas", "treated", "part", "hung_g", "colours": [[name, count], …]}, …], for the
    whole line. hung_g: grams of gift or card on each balloon, as it was asked for; a design has its own in parts.
    recipe: how a design is made, as sold: {"build", "steps", "supplies": [{…}, …]}, these with the
    fields of SoldSupply by name. swaps: what a design has instead of its own balloons: [[id of the balloon type
    before, id of the one now, its gas], …].
    """

    __tablename__ = "order_line"
    __table_args__ = (
        CheckConstraint("(balloon_type_id IS NULL) <> (design_id IS NULL)", name="one_thing"),
        CheckConstraint("quantity > 0 AND unit_minor >= 0", name="figures"),
        enum_check("service", Service),
        enum_check("part", OrderPart),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    order_id: Mapped[int] = mapped_column(ForeignKey("orders.id", ondelete="CASCADE"), index=True)
    position: Mapped[int]
    balloon_type_id: Mapped[int | None] = mapped_column(ForeignKey("balloon_type.id"))
    design_id: Mapped[int | None] = mapped_column(ForeignKey("design.id"))
    title: Mapped[str]
    gas: Mapped[str]
    treated: Mapped[bool]
    part: Mapped[OrderPart] = mapped_column(EnumText(OrderPart))
    service: Mapped[Service] = mapped_column(EnumText(Service))
    hung_g: Mapped[float] = mapped_column(default=0.0)
    colours: Mapped[str]
    quantity: Mapped[int]
    unit_minor: Mapped[int]
    assembly_minutes: Mapped[float]
    parts: Mapped[Any] = mapped_column(Json(), nullable=False)
    recipe: Mapped[Any] = mapped_column(Json(), nullable=False, default=dict)
    swaps: Mapped[Any] = mapped_column(Json(), nullable=False, default=list)


class OrderBatch(Base):
    """Balloons of one order that are filled alike: the unit of work on the bench.

    ready_by: that of its hand-over. spares: balloons to have ready for those that burst. colours, bursts: [[name,
    count], …]. started_as: {"colours", "fill_size_in"} from when it was started. float_plan: {"budget",
    "scatter", "wet_hours", "slowed", "promise", "legs": [[seconds, loss rate, light rate], …], "wind", "starts_by":
    seconds}. weight_g: the least weight that holds each balloon outdoors. hung_g: grams of gift or card on each
    balloon. load_g: grams of all that hangs on it, without its coat.
    """

    __tablename__ = "batch"
    __table_args__ = (
        enum_check("material", Material),
        enum_check("part", OrderPart),
        CheckConstraint("quantity >= 0 AND filled >= 0 AND spares >= 0", name="counts"),
        Index("ix_batch_inflate_by", "inflate_by"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(unique=True)
    order_id: Mapped[int] = mapped_column(ForeignKey("orders.id", ondelete="CASCADE"), index=True)
    balloon_type_id: Mapped[int] = mapped_column(ForeignKey("balloon_type.id"))
    balloon_type_name: Mapped[str]
    material: Mapped[Material] = mapped_column(EnumText(Material))
    gas: Mapped[str]
    treated: Mapped[bool]
    part: Mapped[OrderPart] = mapped_column(EnumText(OrderPart))
    quantity: Mapped[int]
    spares: Mapped[int] = mapped_column(default=0)
    colours: Mapped[Any] = mapped_column(Json(), nullable=False)
    fill_size_in: Mapped[float]
    fill_share: Mapped[float]
    fill_why: Mapped[Any] = mapped_column(Json(), nullable=False)
    work_minutes: Mapped[int]
    not_before: Mapped[datetime | None]
    inflate_by: Mapped[datetime]
    ready_by: Mapped[datetime]
    chance: Mapped[float]
    verdict: Mapped[str]
    float_plan: Mapped[Any] = mapped_column(Json(), nullable=False)
    weight_g: Mapped[float | None]
    hung_g: Mapped[float] = mapped_column(default=0.0)
    load_g: Mapped[float] = mapped_column(default=0.0)
    started_at: Mapped[datetime | None]
    started_as: Mapped[Any | None] = mapped_column(Json())
    filled: Mapped[int]
    filled_at: Mapped[datetime | None] = mapped_column(index=True)
    bursts: Mapped[Any] = mapped_column(Json(), nullable=False)
    order: Mapped[Order] = relationship(back_populates="batches")


class Tap(Base):
    """One press on the bench or at the hand-over. Taps that were undone stay, so progress is the sum of the others.

    part: of the order, as the batch had it when it was tapped, or whose hand-over the step belongs to.
    """

    __tablename__ = "tap"
    __table_args__ = (
        enum_check("part", OrderPart),
        CheckConstraint("count >= 0", name="count"),
        # Without the others, which no search for the steps of an order can mistake for a way to them.
        Index("ix_tap_batch_id", "batch_id", **only_where("batch_id IS NOT NULL")),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(unique=True)
    order_id: Mapped[int] = mapped_column(ForeignKey("orders.id", ondelete="CASCADE"), index=True)
    batch_id: Mapped[int | None] = mapped_column(ForeignKey("batch.id", ondelete="CASCADE"))
    act: Mapped[str]
    part: Mapped[OrderPart] = mapped_column(EnumText(OrderPart))
    colour: Mapped[str]
    count: Mapped[int]
    at: Mapped[datetime] = mapped_column(index=True)
    who: Mapped[str]
    undone_at: Mapped[datetime | None]
    undone_by: Mapped[str | None]


class HistoryEntry(Base):
    """Who did what to an order, and when. changes: [[what, before, after], …]. description: [[what, words], …],
    which describes the order after the change. All are words for a person."""

    __tablename__ = "history_entry"
    __table_args__ = (STRICT,)
    id: Mapped[int] = mapped_column(primary_key=True)
    order_id: Mapped[int] = mapped_column(ForeignKey("orders.id", ondelete="CASCADE"), index=True)
    order_version: Mapped[int]
    at: Mapped[datetime]
    who: Mapped[str]
    act: Mapped[str]
    changes: Mapped[Any] = mapped_column(Json(), nullable=False)
    description: Mapped[Any] = mapped_column(Json(), nullable=False)
