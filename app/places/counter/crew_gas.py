"""Counter: cylinders that go along with an order that is filled at the venue, and come back."""

from flask import Blueprint, Response, flash, make_response, request, url_for

from app.actions.orders.take import load_order
from app.places.counter.order_page import order_page
from app.web.cylinder_presses import press_cylinder, pressed_words
from app.web.htmx import see_other
from app.web.requests import request_context


def register(counter: Blueprint) -> None:
    """Registers the press of a cylinder."""
    counter.post("/orders/<int:number>/gas/<int:cylinder_id>")(press_along)


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
