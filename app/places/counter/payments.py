"""Counter: save what was paid for an order, and undo that."""

from flask import Blueprint, Response, make_response, request, url_for

from app.actions.money.payments import add_payment, undo_payment
from app.places.counter.order_page import order_page
from app.places.counter.payment_form import PaymentForm
from app.quoting.errors import Refused
from app.web.forms import read_id, tap_key
from app.web.htmx import new_key, see_other
from app.web.requests import request_context


def register(counter: Blueprint) -> None:
    """Registers the payments."""
    counter.post("/orders/<int:number>/payments")(add_money)
    counter.post("/orders/<int:number>/payments/<int:payment>/undo")(undo_money)


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
