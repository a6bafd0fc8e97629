"""Office: the photos of a design, and a design made from the photo of an order."""

from flask import Blueprint, Response, request, url_for

from app.actions.catalogue.designs import load_design, preview_design
from app.actions.errors import NotFound
from app.actions.photos.from_order import design_from_order
from app.actions.photos.photos import add_to_design, load_photo, put_first, take_off_design
from app.actions.records.catalogue import design_of
from app.places.office.design_prefill import design_form_of
from app.places.office.designs import design_page
from app.quoting.errors import Refused
from app.store.models import Order
from app.web.forms import read_id, tap_key
from app.web.htmx import see_other
from app.web.photos import PhotosForm, brought_photos, takes_photos
from app.web.requests import request_context


def register(office: Blueprint) -> None:
    """Registers the photos of designs."""
    office.get("/designs/of-photo/<photo>")(design_of_photo)
    office.post("/designs/<int:design_id>/photos")(add_photos)
    office.post("/designs/<int:design_id>/photos/<photo>/first")(first_photo)
    office.post("/designs/<int:design_id>/photos/<photo>/remove")(remove_photo)


def design_of_photo(photo: str) -> Response:
    """Shows the form of a new design, filled in from the order that the photo shows, or from one line of it."""
    here, line_id = request_context(), read_id(request.args.get("line"))
    shown = load_photo(here.session, photo)
    order = here.session.get(Order, shown.order_id) if shown.order_id else None
    lines = [line for line in order.lines if line_id in (0, line.id)] if order else []
    if not lines:
        raise NotFound("That order has no such line any more: go back to it, and choose again.")
    figures = design_from_order(lines, {row.name for row in here.catalogue.designs.values()})
    form = design_form_of(preview_design(figures), here.formats)
    form.photo.data = photo
    return design_page(form)


@takes_photos
def add_photos(design_id: int) -> Response:
    """Adds photos to a design."""
    here, key, form = request_context(), tap_key(), PhotosForm()
    try:
        add_to_design(here.context, design_id, brought_photos(), key)
    except Refused as refused:
        row = load_design(here.session, design_id)
        form.say(refused.problems)
        return design_page(design_form_of(design_of(row), here.formats), row, 422, form)
    return _to_the_photos(design_id)


def first_photo(design_id: int, photo: str) -> Response:
    """Puts a photo before the others."""
    put_first(request_context().context, design_id, photo)
    return _to_the_photos(design_id)


def remove_photo(design_id: int, photo: str) -> Response:
    """Removes a photo from a design."""
    take_off_design(request_context().session, design_id, photo)
    return _to_the_photos(design_id)


def _to_the_photos(design_id: int) -> Response:
    """Returns a redirect to the photos on the design's page."""
    return see_other(url_for("office.design", design_id=design_id, _anchor="photos"))
