"""These tables store what the shop sells: balloon types, supplies, and designs made of them."""

from datetime import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.physics.balloon import BalloonType
from app.physics.material import Material
from app.quoting.states import SupplySort, SupplyUnit
from app.store.types import STRICT, Base, EnumText, Json, enum_check


class BalloonTypeRow(Base):
    """A balloon type as the shop weighed it, with its prices in minor units.

    price_minor: of one that is sold. treated_minor: of one that is sold treated; None means its price and the
    treatment price. fill_minor, top_up_minor: for filling or topping up one that the customer brings; None means
    that this is not offered. rated_in: the diameter for which it is made; None when that is its nominal size.
    pack_size, pack_minor: how many come in a pack, and what the shop pays for it. Archived balloon
    types stay for the orders that have them.
    """

    __tablename__ = "balloon_type"
    __table_args__ = (
        enum_check("material", Material),
        CheckConstraint("nominal_in > 0 AND mass_g > 0 AND size_factor > 0 AND rated_in > 0", name="figures"),
        CheckConstraint("price_minor >= 0 AND fill_minor >= 0 AND top_up_minor >= 0", name="prices"),
        CheckConstraint("treated_minor >= 0", name="treated_price"),
        CheckConstraint("pack_size > 0 AND pack_minor >= 0", name="pack"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    material: Mapped[Material] = mapped_column(EnumText(Material))
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
    treated_minor: Mapped[int | None]

    @property
    def balloon_type(self) -> BalloonType:
        """Returns the balloon type with which physics calculates."""
        return BalloonType(
            name=self.name,
            material=self.material,
            nominal_in=self.nominal_in,
            mass_g=self.mass_g,
            helium_l=self.helium_l,
            median_hours=self.median_hours,
            size_factor=self.size_factor,
            air_only=self.air_only,
            rated_in=self.rated_in,
        )


class SupplyRow(Base):
    """Something that goes into or with a piece and is not a balloon.

    pack_size, pack_minor: how many units come in a pack, and what the shop pays for it. price_minor: of one unit to
    a customer; None when it is not sold by itself. grams: of one unit. width_cm: of a bag laid flat, or of a plush
    pressed together. deposit_minor: of one rental item, paid back when it is returned.
    """

    __tablename__ = "supply"
    __table_args__ = (
        enum_check("sort", SupplySort),
        enum_check("unit", SupplyUnit),
        CheckConstraint(
            "pack_size > 0 AND pack_minor >= 0 AND price_minor >= 0 AND deposit_minor >= 0", name="money"
        ),
        CheckConstraint("grams > 0 AND width_cm > 0", name="figures"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    sort: Mapped[SupplySort] = mapped_column(EnumText(SupplySort))
    unit: Mapped[SupplyUnit] = mapped_column(EnumText(SupplyUnit))
    pack_size: Mapped[float]
    pack_minor: Mapped[int]
    price_minor: Mapped[int | None]
    grams: Mapped[float | None]
    width_cm: Mapped[float | None]
    deposit_minor: Mapped[int]
    archived_at: Mapped[datetime | None]


class DesignRow(Base):
    """What the shop sells from a photo. Archived designs stay for the orders that have them.

    computed: whether its price is calculated from its cost; then price_minor does not count. steps: of its
    assembly, as sentences. seasons: when it is sold, [[from, to], …] as MM-DD; an empty list means all year. build:
    how it is put together, {"form": …, and its figures}.
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
    parts: Mapped[list["DesignPartRow"]] = relationship(
        cascade="all, delete-orphan", order_by="DesignPartRow.position", lazy="selectin"
    )
    supplies: Mapped[list["DesignSupplyRow"]] = relationship(
        cascade="all, delete-orphan", order_by="DesignSupplyRow.position", lazy="selectin"
    )


class DesignPartRow(Base):
    """Balloons of one type in a design. colours: fixed ones as [[name, count], …]; an empty list means that the
    customer chooses. hung_g: grams of gift or card on each."""

    __tablename__ = "design_part"
    __table_args__ = (CheckConstraint("quantity > 0", name="quantity"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    design_id: Mapped[int] = mapped_column(ForeignKey("design.id", ondelete="CASCADE"), index=True)
    position: Mapped[int]
    balloon_type_id: Mapped[int] = mapped_column(ForeignKey("balloon_type.id"))
    gas: Mapped[str]
    quantity: Mapped[int]
    colours: Mapped[Any] = mapped_column(Json(), nullable=False)
    hung_g: Mapped[float] = mapped_column(default=0.0)


class DesignSupplyRow(Base):
    """The number of units of one supply in a design."""

    __tablename__ = "design_supply"
    __table_args__ = (CheckConstraint("quantity > 0", name="quantity"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    design_id: Mapped[int] = mapped_column(ForeignKey("design.id", ondelete="CASCADE"), index=True)
    position: Mapped[int]
    supply_id: Mapped[int] = mapped_column(ForeignKey("supply.id"))
    quantity: Mapped[float]
