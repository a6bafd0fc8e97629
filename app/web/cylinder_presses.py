"""This module handles the buttons of a cylinder, at the bench, in the office or for an order: read it, move it."""

import re
from collections.abc import Callable, Mapping

from flask import request
from wtforms.validators import ValidationError

from app.actions.gas.moves import bring_back, change_state, send_along
from app.actions.gas.readings import add_reading, as_it_stood
from app.craft.gas import BAR_PER_PSI, COLDEST_C, HIGHEST_BAR, HOTTEST_C, PressureReading
from app.quoting.errors import Problem, Refused
from app.quoting.states import CylinderState
from app.store.models import Cylinder
from app.web.forms import read_id, read_number, tap_key
from app.web.requests import request_context
from app.web.wording.gas import is_full

STATES: Mapping[str, CylinderState] = {
    "use": CylinderState.IN_USE,
    "aside": CylinderState.FULL,
    "empty": CylinderState.EMPTY,
    "gone": CylinderState.GONE_BACK,
}
_PRESSURE = re.compile(r"([0-9][0-9 ,.]*?)\s*(bar|psi|psig)?", re.IGNORECASE)
_THOUSANDS = re.compile(r",(?=[0-9]{3}\b)")
HIGHEST_PSI = 5000.0
NO_PRESSURE = "What does the gauge say? A number in bar, or in psi with its unit, as in 2200 psi."


def press_cylinder(cylinder_id: int) -> Cylinder:
    """Does what the form's button says, with the gauge reading if one is typed. Returns the cylinder.

    Raises Refused when something is missing, and NotFound when there is no such cylinder.
    """
    here, act, key = request_context(), _act(), tap_key()
    gauge, sure = read_gauge(request.form), "sure" in request.form
    if act == "read":
        if gauge is None:
            raise Refused(Problem("bar", NO_PRESSURE))
        return add_reading(here.context, cylinder_id, gauge, key, sure=sure)
    if act == "back":
        return bring_back(here.context, cylinder_id, gauge, key, sure=sure)
    if act == "along":
        number = read_id(request.form.get("number"))
        return send_along(here.context, cylinder_id, number, gauge, key, sure=sure)
    if act not in STATES:
        raise Refused(Problem("act", "Nobody knows that press: reload the page."))
    return change_state(here.context, cylinder_id, STATES[act], gauge, key, sure=sure)


def _act() -> str:
    """Returns what to do: the act of the button that was pressed. When somebody answers a question with 'Yes, it
    is', that button carries the act about which was asked."""
    return request.form.get("sure") or request.form.get("act", "")


def pressed_words(row: Cylinder) -> str:
    """Returns the sentence for what was pressed, and how to undo it when the cylinder leaves every list."""
    name = row.name
    sentences = {
        "read": f"The gauge of {name} is noted.",
        "use": f"{name} is in use.",
        "empty": f"{name} is empty. {_undo_hint('Not empty: stands by')}",
        "gone": f"{name} has gone back. {_undo_hint('Still here: stands by')}",
        "back": f"{name} is back from the venue.",
        "along": f"{name} goes along. Its gauge is read when it is back.",
    }
    act = _act()
    return _put_aside_sentence(row) if act == "aside" else sentences.get(act, f"{name} is kept.")


def _undo_hint(press: str) -> str:
    return f"If not: it is in the office at Gas, under “Empty, or gone back”, with the button “{press}”."


def _put_aside_sentence(row: Cylinder) -> str:
    full = is_full(row, as_it_stood(request_context().session, row))
    return f"{row.name} stands by, {'full' if full else 'begun'}."


def read_gauge(texts: Mapping[str, str]) -> PressureReading | None:
    """Returns the gauge reading of a form; None when no pressure is typed.

    Without a temperature it takes the shop's. Raises Refused when something cannot be read.
    """
    here, typed = request_context(), texts.get("bar", "").strip()
    if not typed:
        return None
    bar = _read("bar", lambda: read_pressure(typed))
    warmth = texts.get("celsius", "").strip()
    celsius = _read("celsius", lambda: _read_warmth(warmth)) if warmth else here.shop.air.celsius
    try:
        return PressureReading(bar, celsius)
    except ValueError as wrong:
        raise Refused(Problem("bar", str(wrong))) from None


def read_pressure(text: str) -> float:
    """Returns a typed pressure in bar above that of the air. Raises ValidationError with a sentence."""
    found = _PRESSURE.fullmatch(text.strip())
    if not found:
        raise ValidationError(f"“{text}” is no pressure. {NO_PRESSURE}")
    in_psi = (found[2] or "bar").lower() != "bar"
    number = _THOUSANDS.sub("", found[1].replace(" ", ""))
    if in_psi:
        return read_number(number, 0, HIGHEST_PSI, "psi") * BAR_PER_PSI
    try:
        return read_number(number, 0, HIGHEST_BAR, "bar")
    except ValidationError as wrong:
        hint = f" If it is psi, write {number} psi." if re.fullmatch("[0-9]{3,4}", number) else ""
        raise ValidationError(f"{wrong}{hint}") from None


def _read_warmth(text: str) -> float:
    formats = request_context().formats
    low, high = formats.shown_warmth(COLDEST_C), formats.shown_warmth(HOTTEST_C)
    return formats.celsius_of(read_number(text, low, high, "°F" if formats.fahrenheit else "°C"))


def _read(field: str, read: Callable[[], float]) -> float:
    """Returns what the reader returns. Raises Refused at this field when it cannot be read."""
    try:
        return read()
    except ValidationError as wrong:
        raise Refused(Problem(field, str(wrong))) from None
