"""Order forms as they are first shown and as they came in."""

import json
from typing import Any

from werkzeug.datastructures import MultiDict

from app.actions.remedies import Remedy, Way
from app.places.counter.forms import MOST_LINES, OrderForm
from app.store.models import Order
from app.web.formats import Formats
from app.web.htmx import new_key


def new_form() -> OrderForm:
    return OrderForm(data={"client_key": new_key()})


def posted_form(sent: "MultiDict[str, str]") -> OrderForm:
    return OrderForm(sent)


def form_of(order: Order, formats: Formats) -> OrderForm:
    """The order as it stands, ready to be changed."""
    form = OrderForm(
        data={
            "version": str(order.version),
            "customer_id": str(order.customer_id or ""),
            "customer": order.customer,
            "phone": order.phone,
            "occasion": order.occasion,
            "surroundings": order.surroundings,
            "venue_warmth": _number(order.venue_celsius, formats.shown_warmth),
            "venue_elevation": _number(order.venue_elevation_m, float),
            "hand_over": order.hand_over,
            "address": order.address,
            "travel_minutes": str(order.travel_minutes or ""),
            "notes": order.notes,
            "word": order.word,
            "lines": [
                {
                    "what": f"kind:{line.kind_id}" if line.kind_id else f"design:{line.design_id}",
                    "quantity": str(line.quantity),
                    "colours": line.colours,
                    "gas": line.gas,
                    "treated": line.treated,
                }
                for line in order.lines
            ],
        }
    )
    form.event_start.form.fill_in(order.event_start, formats)
    form.lasts_until.form.fill_in(order.lasts_until, formats)
    if order.occasion != "now":
        form.handed.form.fill_in(order.arrives_at or order.ready_by, formats)
    return form


def _number(value: float | None, shown: Any) -> str:
    return "" if value is None else f"{shown(value):g}"


def as_it_stands(form: OrderForm) -> OrderForm:
    """The same once more, to be read without a sentence at any field of the first."""
    again = OrderForm(data=form.data)
    again.is_draft = form.is_draft
    return again


def add_line(form: OrderForm) -> None:
    if len(form.lines) < MOST_LINES:
        form.lines.append_entry()


def drop_line(form: OrderForm, place: int) -> None:
    """Take one line out; the others move up."""
    kept = [line.data for index, line in enumerate(form.lines) if index != place]
    while len(form.lines):
        form.lines.pop_entry()
    for line in kept or [{}]:
        form.lines.append_entry(line)


def apply_remedy(form: OrderForm, remedy: Remedy, place: int, formats: Formats) -> None:
    """Write the remedy into the form, and what stood there before into its undo."""
    line, handed = form.lines[place].form, form.handed.form
    before = [line.what.data, line.gas.data, line.treated.data, handed.day.data, handed.hour.data]
    wish, order = remedy.wish, remedy.answer.wish
    if wish.kind_id is not None:
        line.what.data = f"kind:{wish.kind_id}"
    line.gas.data, line.treated.data = wish.gas.value, wish.treated
    if remedy.way is Way.LATER:
        handed.fill_in(order.arrives_at or order.ready_by, formats)
    form.undo.data = json.dumps([place, *before])


def take_back(form: OrderForm) -> None:
    """The form as it was before its last remedy. What a browser sent that is no such thing changes nothing."""
    try:
        place, what, gas, treated, day, hour = json.loads(form.undo.data or "null")
        line = form.lines[place].form
    except (ValueError, TypeError, IndexError):
        return
    line.what.data, line.gas.data, line.treated.data = str(what), str(gas), bool(treated)
    form.handed.form.day.data, form.handed.form.hour.data = str(day), str(hour)
    form.undo.data = ""
