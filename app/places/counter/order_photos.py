"""The photos on the page of an order."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.actions.photos.photos import is_finished
from app.store.models import Order, Photo
from app.store.queries.photos import photos_of_order
from app.web.htmx import new_key
from app.web.photos import PhotosForm
from app.web.requests import request_context


@dataclass(frozen=True, slots=True)
class ShownPhotos:
    """designs: names of the designs that were made from the photos, by id. form: says why some could not be
    added."""

    photos: Sequence[Photo]
    may_add: bool
    designs: Mapping[int, str]
    key: str
    form: PhotosForm


def show_photos(order: Order, refused: PhotosForm | None) -> ShownPhotos:
    """Returns the photos of the order. refused: the form of photos that could not be added."""
    here = request_context()
    photos = photos_of_order(here.session, order.id)
    made = {photo.design_id for photo in photos if photo.design_id}
    names = {design_id: here.catalogue.designs[design_id].name for design_id in made}
    return ShownPhotos(photos, is_finished(here.session, order), names, new_key(), refused or PhotosForm())
