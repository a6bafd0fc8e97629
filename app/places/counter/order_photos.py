"""The photos on the page of an order."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.actions.photos.photos import is_finished
from app.quoting.errors import Refused
from app.store.models import Order, Photo
from app.store.queries.photos import photos_of_order
from app.web.htmx import new_key
from app.web.requests import request_context


@dataclass(frozen=True, slots=True)
class ShownPhotos:
    """designs: names of those that were made of them, by id. problems: why some could not be added."""

    photos: Sequence[Photo]
    may_add: bool
    designs: Mapping[int, str]
    key: str
    problems: tuple[str, ...] = ()


def show_photos(order: Order, refused: Refused | None) -> ShownPhotos:
    here = request_context()
    photos = photos_of_order(here.session, order.id)
    made = {photo.design_id for photo in photos if photo.design_id}
    names = {design_id: here.catalogue.designs[design_id].name for design_id in made}
    problems = tuple(problem.sentence for problem in refused.problems) if refused else ()
    return ShownPhotos(photos, is_finished(here.session, order), names, new_key(), problems)
