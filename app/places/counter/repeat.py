"""Counter: an earlier order in the form again, along with what was typed already; the form cleared; and how to undo
either."""

import json
from datetime import timedelta
from typing import Any

from app.physics.light import Surroundings
from app.places.counter.forms import OrderForm
from app.places.counter.prefill import copy_of_form, new_form, undo_alternative, values_of
from app.quoting.request import ExtraSort, HandOver
from app.store.models import Order
from app.web.formats import Formats
from app.web.htmx import new_key

FIELDS_KEPT_AS_TYPED = ("notes", "address", "venue_warmth", "venue_wind", "discount")
MOST_OF_AN_UNDO = 20_000
"""The longest undo, in characters; earlier steps are dropped."""


def clear_for_new_date(again: OrderForm, order: Order, formats: Formats) -> None:
    """Empties what must be asked again for another day.

    These are dates, what the customer accepted, reasons, the wind, the temperature outdoors, a discount, when
    rented items come back, and a time of another day than the event's. An end after midnight stays, since the form
    takes it to be on the next day. Extras get today's prices, except those in the counter's own words.
    """
    day = formats.local(order.event_start or order.lasts_until or order.ready_by)
    for moment in (again.event_start, again.lasts_until, again.hand_over_time, again.later_hand_over_time):
        hour = moment.form
        other = bool(hour.day.data) and hour.day.data != formats.typed_date(day.date())
        if other and not (moment is again.lasts_until and _passes_midnight(order, formats)):
            hour.hour.data = ""
        hour.day.data = hour.fold.data = ""
    for back in (again.return_by.form, again.take_down_at.form):
        back.day.data = back.hour.data = back.fold.data = ""
    for extra in again.extras:
        if extra.form.what.data != ExtraSort.OTHER:
            extra.form.each.data = ""
    again.accepted_risk.data = again.bench_override.data = again.stock_override.data = again.venue_wind.data = (
        again.discount.data
    ) = ""
    again.free.data = False
    if order.surroundings != Surroundings.INDOORS:
        again.venue_warmth.data = ""


def _passes_midnight(order: Order, formats: Formats) -> bool:
    if order.event_start is None or order.lasts_until is None:
        return False
    start, end = formats.local(order.event_start), formats.local(order.lasts_until)
    return end.date() == start.date() + timedelta(days=1) and end.time() <= start.time()


def carry_typed(again: OrderForm, typed: OrderForm) -> None:
    """Writes what was typed before the repeat over what the earlier order had."""
    for moment in (
        "event_start",
        "lasts_until",
        "hand_over_time",
        "later_hand_over_time",
        "return_by",
        "take_down_at",
    ):
        _save(again[moment].form, typed[moment].form, ("day", "hour", "fold"))
    _save(again, typed, FIELDS_KEPT_AS_TYPED)
    if typed.address.data and again.hand_over.data == HandOver.COLLECT:
        _save(again, typed, ("hand_over", "travel_minutes", "set_up_minutes", "hanging_minutes", "crew"))


def _save(again: Any, typed: Any, fields: tuple[str, ...]) -> None:
    for field in fields:
        if (typed[field].data or "").strip():
            again[field].data = typed[field].data


def without_repeats(form: OrderForm) -> OrderForm:
    """Returns the form as somebody typed it, before an order was repeated in it."""
    typed = copy_of_form(form)
    while typed.undoes == "repeat":
        undo_alternative(typed)
    return typed


def undo_of_repeat(form: OrderForm, again: OrderForm) -> str:
    """Returns the undo that restores the form with its lines; it contains the undo that the form had itself."""
    after = values_of(again)
    undo: dict[str, Any] = {name: was for name, was in values_of(form).items() if was != after.get(name)}
    return json.dumps({**undo, **_rows_and_undo(form)})


def cleared_form(form: OrderForm) -> OrderForm:
    """Returns an empty form with a key of its own, whose undo restores all that stood in this one."""
    empty = new_form(new_key())
    empty.undo.data = json.dumps({**values_of(form), **_rows_and_undo(form), "cleared": True})
    empty.is_draft, empty.focus = True, "customer"
    return empty


def _rows_and_undo(form: OrderForm) -> dict[str, Any]:
    """Returns how many rows the form has, and the undo that it had itself unless that is too long."""
    rows: dict[str, Any] = {"lines": len(form.lines), "extras": len(form.extras)}
    return rows | ({"undo": form.undo_values} if len(form.undo.data or "") < MOST_OF_AN_UNDO else {})
