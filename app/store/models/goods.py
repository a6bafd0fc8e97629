"""What the shop sells: balloon kinds, and designs made of them."""

from datetime import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.physics.balloon import Kind, Material
from app.store.types import STRICT, Base, Json


class KindRow(Base):
    """A balloon's make-up as the shop weighed it, and its prices in minor units: sold, the customer's own one
    filled, topped up. None is not offered."""

    __tablename__ = "kind"
    __table_args__ = (
        CheckConstraint("material IN ('latex', 'foil', 'sphere')", name="material"),
        CheckConstraint("nominal_in > 0 AND mass_g > 0 AND size_factor > 0 AND price_minor >= 0", name="figures"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    material: Mapped[str]
    nominal_in: Mapped[float]
    mass_g: Mapped[float]
    helium_l: Mapped[float | None]
    median_hours: Mapped[float | None]
    size_factor: Mapped[float]
    air_only: Mapped[bool]
    price_minor: Mapped[int]
    fill_minor: Mapped[int | None] = mapped_column(CheckConstraint("fill_minor >= 0", name="fill_minor"))
    top_up_minor: Mapped[int | None] = mapped_column(CheckConstraint("top_up_minor >= 0", name="top_up_minor"))

    def kind(self) -> Kind:
        return Kind(
            self.name,
            Material(self.material),
            self.nominal_in,
            self.mass_g,
            self.helium_l,
            self.median_hours,
            self.size_factor,
            self.air_only,
        )

    @property
    def takes_services(self) -> bool:
        """Whether the customer's own one can be filled or topped up: a film that floats."""
        return self.material != Material.LATEX and not self.air_only


class Design(Base):
    """A thing the shop sells from a photo. Retired designs stay for the orders that have them."""

    __tablename__ = "design"
    __table_args__ = (CheckConstraint("price_minor >= 0 AND assembly_minutes >= 0", name="figures"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    price_minor: Mapped[int]
    assembly_minutes: Mapped[float]
    retired_at: Mapped[datetime | None]
    parts: Mapped[list["DesignPart"]] = relationship(
        cascade="all, delete-orphan", order_by="DesignPart.position", lazy="selectin"
    )


class DesignPart(Base):
    """Balloons of one kind in a design. colours: fixed, as [[name, count], …]; empty means the customer chooses."""

    __tablename__ = "design_part"
    __table_args__ = (CheckConstraint("quantity > 0", name="quantity"), STRICT)
    id: Mapped[int] = mapped_column(primary_key=True)
    design_id: Mapped[int] = mapped_column(ForeignKey("design.id", ondelete="CASCADE"), index=True)
    position: Mapped[int]
    kind_id: Mapped[int] = mapped_column(ForeignKey("kind.id"))
    gas: Mapped[str]
    quantity: Mapped[int]
    colours: Mapped[Any] = mapped_column(Json(), nullable=False)
