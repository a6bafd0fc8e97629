"""Counter: photos of a finished order, added from a phone and removed."""

from flask import Blueprint, Response, make_response, url_for

from app.actions.photos.photos import add_to_order, take_off_order
from app.places.counter.order_page import order_page
from app.quoting.errors import Refused
from app.web.forms import tap_key
from app.web.htmx import see_other
from app.web.photos import PhotosForm, brought_photos, takes_photos
from app.web.requests import request_context


def register(counter: Blueprint) -> None:
    """Registers the photos of orders."""
    counter.post("/orders/<int:number>/photos")(add_photos)
    counter.post("/orders/<int:number>/photos/<photo>/remove")(remove_photo)


@takes_photos
def add_photos(number: int) -> Response:
    """Adds photos to the order."""
    here, key, form = request_context(), tap_key(), PhotosForm()
    try:
        add_to_order(here.context, number, brought_photos(), key)
    except Refused as refused:
        form.say(refused.problems)
        return make_response(order_page(number, photographing=form), 422)
    return _to_the_photos(number)


def remove_photo(number: int, photo: str) -> Response:
    """Removes a photo from the order."""
    here = request_context()
    take_off_order(here.context, number, photo)
    return _to_the_photos(number)


def _to_the_photos(number: int) -> Response:
    """Returns a redirect to the photos on the order's page."""
    return see_other(url_for("counter.show", number=number, _anchor="photos"))
