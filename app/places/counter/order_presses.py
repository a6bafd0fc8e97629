"""Counter: what is pressed on the page of an order: payments, photos of it, and cylinders that go along with it."""

from flask import Blueprint, Response, flash, make_response, request, url_for

from app.actions.money.payments import MoreThanDue, add_payment, describe_payment, undo_payment
from app.actions.orders.take import load_order
from app.actions.photos.photos import add_to_order, remove_from_order
from app.places.counter.order_page import order_page
from app.places.counter.payment_form import PaymentForm, ask_about_surplus
from app.quoting.errors import Refused
from app.web.cylinder_actions import apply_cylinder_action, describe_cylinder_action
from app.web.forms import read_id, sent_client_key
from app.web.htmx import new_key, see_other
from app.web.photos import PhotosForm, accepts_photos, uploaded_photos
from app.web.requests import request_context
from app.web.wording.photos import PHOTO_REMOVED, PHOTOS_ADDED


def register(counter: Blueprint) -> None:
    """Registers what is pressed on the page of an order."""
    counter.post("/orders/<int:number>/payments")(save_payment)
    counter.post("/orders/<int:number>/payments/<int:payment>/undo")(undo_saved_payment)
    counter.post("/orders/<int:number>/photos")(add_photos)
    counter.post("/orders/<int:number>/photos/<photo>/remove")(remove_photo)
    counter.post("/orders/<int:number>/gas/<int:cylinder_id>")(send_or_return_cylinder)


def save_payment(number: int) -> Response:
    """Saves a payment."""
    here, form, key = request_context(), PaymentForm(request.form), sent_client_key()
    form.pressed = request.form.get("pay", "")
    if form.validate():
        try:
            seen = read_id(form.seen.data)
            payment = add_payment(here.context, number, form.money, key, seen, sure=form.is_sure)
            flash(f"Saved: {describe_payment(payment, here.formats.money(payment.amount_minor))}.")
            return _redirect_to_payments(number)
        except MoreThanDue as more:
            form.asked = ask_about_surplus(form.money, more.due_minor, here.formats)
        except Refused as refused:
            form.add_problems(refused.problems)
    return make_response(order_page(number, paying=form), 422)


def undo_saved_payment(number: int, payment: int) -> Response:
    """Undoes a payment."""
    here = request_context()
    try:
        undo_payment(here.context, number, payment)
    except Refused as refused:
        form = PaymentForm(client_key=new_key())
        form.add_problems(refused.problems)
        return make_response(order_page(number, paying=form), 422)
    flash("Payment undone.")
    return _redirect_to_payments(number)


def _redirect_to_payments(number: int) -> Response:
    """Returns a redirect to the money on the order's page."""
    return see_other(url_for("counter.show", number=number, _anchor="money"))


@accepts_photos
def add_photos(number: int) -> Response:
    """Adds photos to the order."""
    here, key, form = request_context(), sent_client_key(), PhotosForm()
    try:
        add_to_order(here.context, number, uploaded_photos(), key)
    except Refused as refused:
        form.add_problems(refused.problems)
        return make_response(order_page(number, photographing=form), 422)
    flash(PHOTOS_ADDED)
    return _redirect_to_photos(number)


def remove_photo(number: int, photo: str) -> Response:
    """Removes a photo from the order."""
    here = request_context()
    remove_from_order(here.context, number, photo)
    flash(PHOTO_REMOVED)
    return _redirect_to_photos(number)


def _redirect_to_photos(number: int) -> Response:
    """Returns a redirect to the photos on the order's page."""
    return see_other(url_for("counter.show", number=number, _anchor="photos"))


def send_or_return_cylinder(number: int, cylinder_id: int) -> Response:
    """Sends a cylinder along with the order, or brings it back."""
    order = load_order(request_context().session, number)
    row, form = apply_cylinder_action(cylinder_id)
    if row is None:
        return make_response(order_page(number, pressing=form), 422)
    flash(describe_cylinder_action(row))
    if request.form.get("to") == "pickups":
        day = request_context().formats.local(order.ready_by).date()
        return see_other(url_for("pickups.board", day=day, _anchor=f"order-{number}"))
    return see_other(url_for("counter.show", number=number, _anchor="gas"))
