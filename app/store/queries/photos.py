"""Photos for pages: what they are called, one statement a page; the pixels of one only where it is asked for."""

from collections.abc import Collection

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from app.quoting.states import PhotoSize
from app.store.models import Photo, PhotoImage


def photos_of_design(session: Session, design_id: int) -> list[Photo]:
    """The one that stands first, first."""
    return list(session.scalars(_of_designs().where(Photo.design_id == design_id)))


def photos_of_order(session: Session, order_id: int) -> list[Photo]:
    return list(session.scalars(select(Photo).where(Photo.order_id == order_id).order_by(Photo.id)))


def first_photos(session: Session, of: Collection[int] | None = None) -> dict[int, Photo]:
    """The photo of each design, by the design's id; of: only of these designs."""
    found = _of_designs() if of is None else _of_designs().where(Photo.design_id.in_(of))
    first: dict[int, Photo] = {}
    for photo in session.scalars(found):
        first.setdefault(photo.design_id or 0, photo)
    return first


def photo_pixels(session: Session, key: str, size: str) -> bytes | None:
    """As JPEG; None where there is no such photo, or it has no such size."""
    if size not in {*PhotoSize}:
        return None
    found = select(PhotoImage.jpeg).join(Photo, Photo.id == PhotoImage.photo_id)
    return session.scalar(found.where(Photo.key == key, PhotoImage.size == size))


def _of_designs() -> Select[Photo]:
    """The one that was put up last stands first; of those put up together, the first."""
    return select(Photo).where(Photo.design_id.is_not(None)).order_by(Photo.at.desc(), Photo.id)
