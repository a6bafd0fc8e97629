"""These tables store photos of designs and of finished orders, re-encoded by the shop."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.quoting.states import PhotoSize
from app.store.types import STRICT, Base, EnumText, enum_check


class Photo(Base):
    """A photo without its pixels. key: its name in addresses. It shows a design or a finished order, or both when
    the design was made from that order."""

    __tablename__ = "photo"
    __table_args__ = (
        CheckConstraint("design_id IS NOT NULL OR order_id IS NOT NULL", name="of_something"),
        CheckConstraint("width > 0 AND height > 0", name="size"),
        STRICT,
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(unique=True)
    key: Mapped[str] = mapped_column(unique=True)
    design_id: Mapped[int | None] = mapped_column(ForeignKey("design.id", ondelete="CASCADE"), index=True)
    order_id: Mapped[int | None] = mapped_column(ForeignKey("orders.id", ondelete="CASCADE"), index=True)
    width: Mapped[int]
    height: Mapped[int]
    at: Mapped[datetime]
    who: Mapped[str]


class PhotoImage(Base):
    """The pixels of a photo in one size, as JPEG."""

    __tablename__ = "photo_image"
    __table_args__ = (enum_check("size", PhotoSize), STRICT)
    photo_id: Mapped[int] = mapped_column(
        ForeignKey("photo.id", ondelete="CASCADE"), primary_key=True, autoincrement=False
    )
    size: Mapped[PhotoSize] = mapped_column(EnumText(PhotoSize), primary_key=True)
    jpeg: Mapped[bytes]
