"""Order forms as they are first shown and as they came in."""

import json
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from werkzeug.datastructures import MultiDict
from wtforms import FieldList, Form, FormField

from app.actions.remedies import Remedy, Way
from app.actions.wish import LineWish
from app.places.counter.choices import what_of
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
            "venue_wind": _number(order.wind_m_s, float),
            "hand_over": order.hand_over,
            "address": order.address,
            "travel_minutes": str(order.travel_minutes or ""),
            "set_up_minutes": str(order.set_up_minutes) if order.crew else "",
            "hanging_minutes": str(order.hanging_minutes) if order.crew else "",
            "crew": str(order.crew or ""),
            "notes": order.notes,
            "word": order.word,
            "bench_reason": order.bench_reason,
            "lines": [
                {
                    "what": what_of(line),
                    "quantity": str(line.quantity),
                    "colours": line.colours,
                    "gas": line.gas,
                    "treated": line.treated,
                    "later": line.later,
                }
                for line in order.lines
            ],
        }
    )
    form.event_start.form.fill_in(order.event_start, formats)
    form.lasts_until.form.fill_in(order.lasts_until, formats)
    if order.occasion != "now":
        form.handed.form.fill_in(order.arrives_at or order.ready_by, formats)
        form.later_handed.form.fill_in(_after(order.later_at, order.travel_minutes), formats)
    return form


def _after(moment: datetime | None, minutes: int) -> datetime | None:
    return moment + timedelta(minutes=minutes) if moment else None


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
    """Take one line out; the others move up, so what the last remedy changed can no longer be named."""
    form.undo.data = ""
    kept = [line.data for index, line in enumerate(form.lines) if index != place]
    while len(form.lines):
        form.lines.pop_entry()
    for line in kept or [{}]:
        form.lines.append_entry(line)


def apply_remedy(form: OrderForm, remedy: Remedy, formats: Formats) -> None:
    """Write the remedy into the form, and what stood there before into its undo."""
    before = values_of(form)
    wish = remedy.answer.wish
    for place, line in zip(form.line_places, wish.lines, strict=True):
        _write_line(form.lines[place].form, line)
    form.handed.form.fill_in(wish.arrives_at or wish.ready_by, formats)
    form.later_handed.form.fill_in(_after(wish.later_at, wish.travel_minutes), formats)
    form.hand_over.data = wish.hand_over.value
    if remedy.way is Way.VENUE:
        for field in (form.travel_minutes, form.set_up_minutes, form.hanging_minutes, form.crew):
            field.data = str(getattr(wish, field.name))
    after = values_of(form)
    form.undo.data = json.dumps({name: was for name, was in before.items() if was != after[name]})


def _write_line(line: Any, wish: LineWish) -> None:
    if wish.kind_id is not None:
        line.what.data = f"kind:{wish.kind_id}"
    line.gas.data, line.treated.data, line.later.data = wish.gas.value, wish.treated, wish.later


def take_back(form: OrderForm) -> None:
    """The form as it was before its last remedy or repeat. What a browser sent that is no such thing changes
    nothing."""
    before = form.undo_values
    lines, earlier = before.get("lines"), before.get("undo")
    if isinstance(lines, int) and 1 <= lines <= MOST_LINES:
        _count_lines(form, lines)
    for field in _inputs(form):
        if isinstance(was := before.get(field.name), str | bool):
            field.data = was
    form.undo.data = json.dumps(earlier) if earlier and isinstance(earlier, dict) else ""


def _count_lines(form: OrderForm, wanted: int) -> None:
    while len(form.lines) > wanted:
        form.lines.pop_entry()
    while len(form.lines) < wanted:
        form.lines.append_entry()


def values_of(form: Form) -> dict[str, str | bool]:
    return {field.name: "" if field.data is None else field.data for field in _inputs(form)}


def _inputs(form: Form) -> Iterator[Any]:
    """Every field that holds a value, those inside others too, but the undo."""
    for field in form:
        if isinstance(field, FormField):
            yield from _inputs(field.form)
        elif isinstance(field, FieldList):
            yield from (inner for line in field for inner in _inputs(line.form))
        elif field.name != "undo":
            yield field
