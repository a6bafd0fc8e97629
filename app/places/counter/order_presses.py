"""Counter: what is pressed on the page of an order: payments, photos of it, and cylinders that go along with it."""

from flask import Blueprint, Response, flash, make_response, request, url_for

from app.actions.money.payments import add_payment, undo_payment
from app.actions.orders.take import load_order
from app.actions.photos.photos import add_to_order, remove_from_order
from app.places.counter.order_page import order_page
from app.places.counter.payment_form import PaymentForm
from app.quoting.errors import Refused
from app.web.cylinder_presses import press_cylinder, pressed_words
from app.web.forms import read_id, tap_key
from app.web.htmx import new_key, see_other
from app.web.photos import PhotosForm, brought_photos, takes_photos
from app.web.requests import request_context


def register(counter: Blueprint) -> None:
    """Registers what is pressed on the page of an order."""
    counter.post("/orders/<int:number>/payments")(add_money)
    counter.post("/orders/<int:number>/payments/<int:payment>/undo")(undo_money)
    counter.post("/orders/<int:number>/photos")(add_photos)
    counter.post("/orders/<int:number>/photos/<photo>/remove")(remove_photo)
    counter.post("/orders/<int:number>/gas/<int:cylinder_id>")(press_along)


def add_money(number: int) -> Response:
    """Saves a payment."""
    here, form, key = request_context(), PaymentForm(request.form), tap_key()
    form.pressed = request.form.get("pay", "")
    if form.validate():
        try:
            add_payment(here.context, number, form.money, key, read_id(form.seen.data))
            return _to_the_money(number)
        except Refused as refused:
            form.say(refused.problems)
    return make_response(order_page(number, paying=form), 422)


def undo_money(number: int, payment: int) -> Response:
    """Undoes a payment."""
    here = request_context()
    try:
        undo_payment(here.context, number, payment)
    except Refused as refused:
        form = PaymentForm(client_key=new_key())
        form.say(refused.problems)
        return make_response(order_page(number, paying=form), 422)
    return _to_the_money(number)


def _to_the_money(number: int) -> Response:
    """Returns a redirect to the money on the order's page."""
    return see_other(url_for("counter.show", number=number, _anchor="money"))


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
    remove_from_order(here.context, number, photo)
    return _to_the_photos(number)


def _to_the_photos(number: int) -> Response:
    """Returns a redirect to the photos on the order's page."""
    return see_other(url_for("counter.show", number=number, _anchor="photos"))


def press_along(number: int, cylinder_id: int) -> Response:
    """Sends a cylinder along with the order, or brings it back."""
    order = load_order(request_context().session, number)
    row, form = press_cylinder(cylinder_id)
    if row is None:
        return make_response(order_page(number, pressing=form), 422)
    flash(pressed_words(row))
    if request.form.get("to") == "pickups":
        day = request_context().formats.local(order.ready_by).date()
        return see_other(url_for("pickups.board", day=day, _anchor=f"order-{number}"))
    return see_other(url_for("counter.show", number=number, _anchor="gas"))
