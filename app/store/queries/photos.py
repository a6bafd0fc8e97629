"""This module reads photos: a page's list of them in one statement without pixels, and the pixels of one photo."""

from collections.abc import Collection

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.quoting.states import PhotoSize
from app.store.models import Photo, PhotoImage

_OF_DESIGNS = select(Photo).where(Photo.design_id.is_not(None)).order_by(Photo.at.desc(), Photo.id)
"""The photos of designs: the latest one first, and of several added together, the first of them."""


def photos_of_design(session: Session, design_id: int) -> list[Photo]:
    """Returns the photos of a design, the one that is shown first at the start."""
    return list(session.scalars(_OF_DESIGNS.where(Photo.design_id == design_id)))


def photos_of_order(session: Session, order_id: int) -> list[Photo]:
    return list(session.scalars(select(Photo).where(Photo.order_id == order_id).order_by(Photo.id)))


def first_photos(session: Session, of: Collection[int] | None = None) -> dict[int, Photo]:
    """Returns the first photo of each design, by the number of the design; of: only of these designs."""
    found = _OF_DESIGNS if of is None else _OF_DESIGNS.where(Photo.design_id.in_(of))
    first: dict[int, Photo] = {}
    for photo in session.scalars(found):
        first.setdefault(photo.design_id or 0, photo)
    return first


def photo_pixels(session: Session, key: str, size: str) -> bytes | None:
    """Returns the pixels of a photo as JPEG; None when there is no such photo."""
    if size not in {*PhotoSize}:
        return None
    found = select(PhotoImage.jpeg).join(Photo, Photo.id == PhotoImage.photo_id)
    return session.scalar(found.where(Photo.key == key, PhotoImage.size == size))
