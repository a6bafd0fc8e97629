"""Pick-ups: the tag that hangs on a piece in the holding area."""

from flask import Blueprint, render_template

from app.actions.errors import NotFound
from app.store.queries.pickups import pickups_of_order
from app.web.requests import request_context


def register(pickups: Blueprint) -> None:
    """Registers the page of the tag."""
    pickups.get("/<int:number>/tag")(show_tag)


def show_tag(number: int) -> str:
    """Shows the tags of an order, one for each part, to print or to copy by hand."""
    rows = pickups_of_order(request_context().session, number)
    if not rows:
        raise NotFound(f"There is no order {number}, or it is cancelled.")
    return render_template("pickups/tag.html", number=number, rows=rows)
