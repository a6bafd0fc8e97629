"""Makes order forms: empty, as sent, and from a saved order; adds, removes and undoes what is in them."""

import json
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from werkzeug.datastructures import MultiDict
from wtforms import FieldList, Form, FormField

from app.actions.records.sold_rows import rebuild_line
from app.actions.stock.substitutes import Substitute
from app.places.counter.choices import choice_of_line
from app.places.counter.extra_choices import key_of
from app.places.counter.extras import typed_discount
from app.places.counter.forms import OrderForm
from app.places.counter.line_form import write_swaps
from app.places.counter.rows import MOST_ROWS_SHOWN
from app.quoting.alternatives import Alternative
from app.quoting.bill import read_discount
from app.quoting.request import ExtraSort, HandOver, LineRequest, Occasion
from app.quoting.states import OrderPart
from app.store.models import Order, OrderExtra
from app.web.formats import Formats


def new_form(key: str, typed_day: str = "") -> OrderForm:
    """Returns an empty form. typed_day: the day of the event, if it is known, as it stands in a field; all other
    times are of that day unless another is typed. key: that of the form."""
    return OrderForm(data={"client_key": key, "event_start": {"day": typed_day or None}})


def posted_form(sent: "MultiDict[str, str]") -> OrderForm:
    """Returns the form as it was sent."""
    return OrderForm(sent)


def form_of(order: Order, formats: Formats) -> OrderForm:
    """Returns the form of a saved order, ready to be changed."""
    form = OrderForm(
        data={
            "version": str(order.version),
            "customer_id": str(order.customer_id or ""),
            "customer": order.customer,
            "phone": order.phone,
            "occasion": order.occasion,
            "surroundings": order.surroundings,
            "venue_warmth": order.venue_celsius,
            "venue_elevation": order.venue_elevation_m,
            "venue_wind": order.wind_m_s,
            "hand_over": order.hand_over,
            "address": order.address,
            "travel_minutes": str(order.travel_minutes or ""),
            "set_up_minutes": str(order.set_up_minutes) if order.crew else "",
            "hanging_minutes": str(order.hanging_minutes) if order.crew else "",
            "crew": str(order.crew or ""),
            "notes": order.notes,
            "latex_allergy": order.latex_allergy,
            "accepted_risk": order.accepted_risk,
            "bench_override": order.bench_override,
            "stock_override": order.stock_override,
            "free": order.total_minor == 0,
            "discount": typed_discount(read_discount(order.discount), formats),
            "extras": [_extra_data(extra, formats) for extra in order.extras],
            "lines": [
                {
                    "what": choice_of_line(line),
                    "quantity": str(line.quantity),
                    "colours": line.colours,
                    "gas": line.gas,
                    "treated": line.treated,
                    "later": line.part is OrderPart.LATER,
                    "hung_g": line.hung_g or None,
                    "swaps": write_swaps(rebuild_line(line)),
                }
                for line in order.lines
            ],
        }
    )
    form.event_start.form.fill_in(order.event_start, formats)
    form.lasts_until.form.fill_in(order.lasts_until, formats)
    form.return_by.form.fill_in(order.return_by, formats)
    form.take_down_at.form.fill_in(order.take_down_at, formats)
    if order.occasion != Occasion.NOW:
        form.hand_over_time.form.fill_in(order.arrives_at or order.ready_by, formats)
        form.later_hand_over_time.form.fill_in(_after(order.later_at, order.travel_minutes), formats)
    return form


def _extra_data(extra: OrderExtra, formats: Formats) -> dict[str, str]:
    """Returns the texts of an extra, with the price as it was sold."""
    return {
        "what": key_of(extra),
        "title": extra.title if extra.sort == ExtraSort.OTHER else "",
        "quantity": str(extra.quantity),
        "each": formats.amount(extra.unit_minor),
    }


def _after(moment: datetime | None, minutes: int) -> datetime | None:
    return moment + timedelta(minutes=minutes) if moment else None


def copy_of_form(form: OrderForm) -> OrderForm:
    """Returns a copy of the form, which can be read without adding sentences to the fields of the first."""
    again = OrderForm(data=form.data)
    again.is_draft = form.is_draft
    return again


def add_line(form: OrderForm) -> None:
    """Adds an empty line; if the order has all that it may have, the page says so."""
    if form.lines.has_room():
        form.focus = form.lines.append_entry().form.find.name


def drop_line(form: OrderForm, place: int) -> None:
    """Removes one line; the others move up, so the last alternative can no longer be undone."""
    form.undo.data = ""
    _drop_row(form.lines, place)
    if not len(form.lines):
        form.lines.append_entry()


def drop_swaps(form: OrderForm, place: int) -> None:
    """Gives the design of one line its own balloons again."""
    if place < len(form.lines):
        form.lines[place].form.swaps.data = ""


def add_extra(form: OrderForm, what: str = "") -> None:
    """Adds an extra; if the order has all that it may have, the page says so. what: what is chosen in it."""
    if form.extras.has_room():
        form.focus = form.extras.append_entry({"what": what}).form.what.name


def drop_extra(form: OrderForm, place: int) -> None:
    """Removes one extra; the last repeat can no longer be undone."""
    if form.undoes == "repeat":
        form.undo.data = ""
    _drop_row(form.extras, place)


def _drop_row(rows: Any, place: int) -> None:
    saved = [row.data for index, row in enumerate(rows) if index != place]
    _count_rows(rows, 0)
    for row in saved:
        rows.append_entry(row)


def apply_alternative(form: OrderForm, alternative: Alternative | Substitute, formats: Formats) -> None:
    """Writes the alternative into the form, and what was there before into its undo."""
    before = values_of(form)
    request = alternative.quote.request
    for place, line in zip(form.line_places, request.lines, strict=True):
        _write_line(form.lines[place].form, line)
    form.hand_over_time.form.fill_in(request.arrives_at or request.ready_by, formats)
    form.later_hand_over_time.form.fill_in(_after(request.later_at, request.travel_minutes), formats)
    form.hand_over.data = request.hand_over.value
    form.surroundings.data = request.surroundings.value
    if request.venue_celsius is None:
        form.venue_warmth.data = ""
    if request.hand_over is HandOver.VENUE:
        for field in (form.travel_minutes, form.set_up_minutes, form.hanging_minutes, form.crew):
            field.data = str(getattr(request, field.name))
    after = values_of(form)
    form.undo.data = json.dumps({name: was for name, was in before.items() if was != after[name]})


def _write_line(line: Any, request: LineRequest) -> None:
    if request.balloon_type_id is not None:
        line.what.data = f"balloon_type:{request.balloon_type_id}"
    line.swaps.data = write_swaps(request)
    line.colours.data = request.colours
    line.gas.data, line.treated.data, line.later.data = request.gas.value, request.treated, request.later


def undo_alternative(form: OrderForm) -> None:
    """Returns the form as it was before its last alternative or repeat; unchanged if the browser sent no valid
    undo."""
    before = form.undo_values
    lines, extras, earlier = before.get("lines"), before.get("extras"), before.get("undo")
    if isinstance(lines, int) and 1 <= lines <= MOST_ROWS_SHOWN:
        _count_rows(form.lines, lines)
    if isinstance(extras, int) and 0 <= extras <= MOST_ROWS_SHOWN:
        _count_rows(form.extras, extras)
    for field in _inputs(form):
        if isinstance(was := before.get(field.name), str | bool):
            field.data = was
    form.undo.data = json.dumps(earlier) if earlier and isinstance(earlier, dict) else ""


def _count_rows(rows: Any, wanted: int) -> None:
    while len(rows) > wanted:
        rows.pop_entry()
    while len(rows) < wanted:
        rows.append_entry()


def values_of(form: Form) -> dict[str, str | bool]:
    """Returns the values of the form by the names of their fields."""
    return {field.name: "" if field.data is None else field.data for field in _inputs(form)}


def _inputs(form: Form) -> Iterator[Any]:
    """Yields every field that holds a value, also those of inner forms, but not the undo."""
    for field in form:
        if isinstance(field, FormField):
            yield from _inputs(field.form)
        elif isinstance(field, FieldList):
            yield from (inner for line in field for inner in _inputs(line.form))
        elif field.name != "undo":
            yield field
