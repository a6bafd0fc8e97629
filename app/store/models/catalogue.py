"""What the shop sells: balloon kinds, supplies, and designs made of them."""

from datetime import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.physics.balloon import BalloonType, Material
from app.quoting.states import SupplySort, SupplyUnit
from app.store.types import STRICT, Base, Json, OneOf, one_of


class BalloonTypeRow(Base):
    """A balloon's make-up as the shop weighed it, and its prices in minor units: sold, the customer's own one
    filled, topped up. None is not offered. rated_in: the diameter it is made for, None where that is its size.
    pack_minor: what pack_size of them cost the shop. Archived kinds stay for the orders that have them."""

    __tablename__ = "balloon_type"
    __table_args__ = (
        one_of("material", Material),
        CheckConstraint("nominal_in > 0 AND mass_g > 0 AND size_factor > 0 AND rated_in > 0", name="figures"),
        CheckConstraint("price_minor >= 0 AND fill_minor >= 0 AND top_up_minor >= 0", name="prices"),
        CheckConstraint("pack_size > 0 AND pack_minor >= 0", name="pack"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    material: Mapped[str]
    shape: Mapped[str] = mapped_column(default="round")
    nominal_in: Mapped[float]
    mass_g: Mapped[float]
    helium_l: Mapped[float | None]
    median_hours: Mapped[float | None]
    size_factor: Mapped[float]
    air_only: Mapped[bool]
    price_minor: Mapped[int]
    fill_minor: Mapped[int | None]
    top_up_minor: Mapped[int | None]
    rated_in: Mapped[float | None]
    pack_size: Mapped[int] = mapped_column(default=1)
    pack_minor: Mapped[int] = mapped_column(default=0)
    archived_at: Mapped[datetime | None]

    def balloon_type(self) -> BalloonType:
        return BalloonType(
            name=self.name,
            material=Material(self.material),
            nominal_in=self.nominal_in,
            mass_g=self.mass_g,
            helium_l=self.helium_l,
            median_hours=self.median_hours,
            size_factor=self.size_factor,
            air_only=self.air_only,
            rated_in=self.rated_in,
        )

    @property
    def takes_services(self) -> bool:
        """Whether the customer's own one can be filled or topped up: a film that floats."""
        return self.material != Material.LATEX and not self.air_only


class Supply(Base):
    """What goes into or with a piece and is no balloon. pack_minor: what pack_size units cost the shop.
    price_minor: of one unit to a customer, None where it is not sold by itself. grams: of one unit as it is used.
    width_cm: of a bag laid flat, of a plush pressed together. deposit_minor: of a hired piece, given back with it.
    """

    __tablename__ = "supply"
    __table_args__ = (
        one_of("sort", SupplySort),
        one_of("unit", SupplyUnit),
        CheckConstraint(
            "pack_size > 0 AND pack_minor >= 0 AND price_minor >= 0 AND deposit_minor >= 0", name="money"
        ),
        CheckConstraint("grams > 0 AND width_cm > 0", name="figures"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    sort: Mapped[SupplySort] = mapped_column(OneOf(SupplySort))
    unit: Mapped[SupplyUnit] = mapped_column(OneOf(SupplyUnit))
    pack_size: Mapped[float]
    pack_minor: Mapped[int]
    price_minor: Mapped[int | None]
    grams: Mapped[float | None]
    width_cm: Mapped[float | None]
    deposit_minor: Mapped[int]
    archived_at: Mapped[datetime | None]


class Design(Base):
    """A thing the shop sells from a photo. Archived designs stay for the orders that have them.

    computed: its price follows from its cost, and price_minor is not asked. steps: of its assembly, sentences.
    seasons: when it is sold, [[from, to], …] as MM-DD; empty is all year. build: how it is put together, {"form":
    …, and its figures}.
    """

    __tablename__ = "design"
    __table_args__ = (CheckConstraint("price_minor >= 0 AND assembly_minutes >= 0", name="figures"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    price_minor: Mapped[int]
    assembly_minutes: Mapped[float]
    archived_at: Mapped[datetime | None]
    computed: Mapped[bool] = mapped_column(default=False)
    steps: Mapped[Any] = mapped_column(Json(), nullable=False, default=list)
    seasons: Mapped[Any] = mapped_column(Json(), nullable=False, default=list)
    build: Mapped[Any] = mapped_column(Json(), nullable=False, default=dict)
    parts: Mapped[list["DesignPart"]] = relationship(
        cascade="all, delete-orphan", order_by="DesignPart.position", lazy="selectin"
    )
    supplies: Mapped[list["DesignSupply"]] = relationship(
        cascade="all, delete-orphan", order_by="DesignSupply.position", lazy="selectin"
    )


class DesignPart(Base):
    """Balloons of one kind in a design. colours: fixed, as [[name, count], …]; empty means the customer chooses."""

    __tablename__ = "design_part"
    __table_args__ = (CheckConstraint("quantity > 0", name="quantity"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    design_id: Mapped[int] = mapped_column(ForeignKey("design.id", ondelete="CASCADE"), index=True)
    position: Mapped[int]
    balloon_type_id: Mapped[int] = mapped_column(ForeignKey("balloon_type.id"))
    gas: Mapped[str]
    quantity: Mapped[int]
    colours: Mapped[Any] = mapped_column(Json(), nullable=False)


class DesignSupply(Base):
    """So many units of a supply in a design."""

    __tablename__ = "design_supply"
    __table_args__ = (CheckConstraint("quantity > 0", name="quantity"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    design_id: Mapped[int] = mapped_column(ForeignKey("design.id", ondelete="CASCADE"), index=True)
    position: Mapped[int]
    supply_id: Mapped[int] = mapped_column(ForeignKey("supply.id"))
    quantity: Mapped[float]
