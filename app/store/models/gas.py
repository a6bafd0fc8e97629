"""These tables store helium cylinders and the readings of their gauges."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.quoting.states import CylinderState
from app.store.types import STRICT, Base, EnumText, enum_check


class Cylinder(Base):
    """A helium cylinder.

    water_l: the volume inside, in litres of water. full_bar: what its gauge showed when it came, at 15 °C. state:
    full, in use, empty or gone back. order_id: the order whose crew takes it to the venue, as long as the crew has
    it.
    """

    __tablename__ = "cylinder"
    __table_args__ = (
        CheckConstraint("water_l > 0 AND full_bar > 0", name="figures"),
        CheckConstraint("purity_percent > 0 AND purity_percent <= 100", name="purity"),
        enum_check("state", CylinderState),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    water_l: Mapped[float]
    full_bar: Mapped[float]
    purity_percent: Mapped[float]
    state: Mapped[CylinderState] = mapped_column(EnumText(CylinderState))
    came_on: Mapped[date]
    order_id: Mapped[int | None] = mapped_column(ForeignKey("orders.id", ondelete="SET NULL"), index=True)


class CylinderReading(Base):
    """A reading of a gauge: bar above the pressure of the air, and the temperature of the cylinder.

    state, order_id: those of the cylinder from this reading on. Readings that were undone stay in the table.
    """

    __tablename__ = "cylinder_reading"
    __table_args__ = (
        CheckConstraint("bar >= 0", name="bar"),
        enum_check("state", CylinderState),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(unique=True)
    cylinder_id: Mapped[int] = mapped_column(ForeignKey("cylinder.id", ondelete="CASCADE"), index=True)
    bar: Mapped[float]
    celsius: Mapped[float]
    state: Mapped[CylinderState] = mapped_column(EnumText(CylinderState))
    order_id: Mapped[int | None] = mapped_column(ForeignKey("orders.id", ondelete="SET NULL"), index=True)
    at: Mapped[datetime] = mapped_column(index=True)
    who: Mapped[str]
    undone_at: Mapped[datetime | None]
    undone_by: Mapped[str | None]
