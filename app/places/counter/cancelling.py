"""Counter: cancels an order, with its reason and the fee that the shop keeps."""

from flask import Blueprint, Response, flash, make_response, request, url_for

from app.actions.orders.cancel import cancel_order
from app.actions.records.orders import load_order
from app.places.counter.cancel_form import CancelForm
from app.places.counter.order_page import order_page
from app.quoting.errors import Refused
from app.quoting.states import OrderState
from app.web.forms import read_id
from app.web.htmx import see_other
from app.web.requests import request_context


def register(counter: Blueprint) -> None:
    """Registers the press that cancels an order."""
    counter.post("/orders/<int:number>/cancel")(cancel)


def cancel(number: int) -> Response:
    """Cancels an order; a second press finds it cancelled and changes nothing."""
    here, form = request_context(), CancelForm(request.form)
    order = load_order(here.session, number)
    if order.state == OrderState.CANCELLED:
        return _shown(number)
    if form.validate():
        try:
            cancellation = form.cancellation(order.total_minor, here.shop.pricing)
            cancel_order(here.context, number, read_id(form.version.data), cancellation)
            flash(f"Order {number} cancelled.")
            return _shown(number)
        except Refused as refused:
            if not {problem.field for problem in refused.problems} <= {"reason_note", "fee"}:
                raise
            form.add_problems(refused.problems)
    return make_response(order_page(number, cancelling=form), 422)


def _shown(number: int) -> Response:
    """Returns a redirect to the page of the order."""
    return see_other(url_for("counter.show", number=number))
