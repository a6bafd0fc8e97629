"""What is pressed on a cylinder, at the bench, in the office or for an order: its gauge is read, it is moved."""

import re
from collections.abc import Callable, Mapping

from flask import request
from wtforms.validators import ValidationError

from app.actions.errors import Problem, Refused
from app.actions.gas.cylinders import State
from app.actions.gas.moves import bring_back, change_state, send_along
from app.actions.gas.readings import note_reading
from app.craft.gas import BAR_PER_PSI, COLDEST_C, HOTTEST_C, Gauge
from app.store.models import Cylinder
from app.web.door import visit
from app.web.forms import read_id, read_number, tap_key

STATES: Mapping[str, State] = {
    "use": State.IN_USE,
    "aside": State.FULL,
    "empty": State.EMPTY,
    "gone": State.GONE_BACK,
}
_PRESSURE = re.compile(r"([0-9][0-9 ,.]*?)\s*(bar|psi|psig)?", re.IGNORECASE)
NO_PRESSURE = "What does the gauge say? A number in bar, or in psi with its unit, as in 2200 psi."


def press_cylinder(cylinder_id: int) -> Cylinder:
    """The form's act, with its gauge where one is typed. Raises Refused, NotThere."""
    here, act, key = visit(), request.form.get("act", ""), tap_key()
    gauge = read_gauge(request.form)
    if act == "read":
        if gauge is None:
            raise Refused(Problem("bar", NO_PRESSURE))
        return note_reading(here.session, here.who, cylinder_id, gauge, here.now, key)
    if act == "back":
        return bring_back(here.session, here.who, cylinder_id, gauge, here.now, key)
    if act == "along":
        number = read_id(request.form.get("number"))
        return send_along(here.session, here.who, cylinder_id, number, gauge, here.now, key)
    if act not in STATES:
        raise Refused(Problem("act", "Nobody knows that press: reload the page."))
    return change_state(here.session, here.who, cylinder_id, STATES[act], gauge, here.now, key)


def pressed_words(row: Cylinder, act: str) -> str:
    told = {
        "read": "the gauge is noted",
        "use": "is in use",
        "aside": "stands by",
        "empty": "is empty",
        "gone": "has gone back",
        "back": "is back",
        "along": "goes along",
    }
    return f"{row.name}: {told.get(act, 'kept')}."


def read_gauge(texts: Mapping[str, str]) -> Gauge | None:
    """None where no pressure is typed; without a temperature, the shop's. Raises Refused."""
    here, typed = visit(), texts.get("bar", "").strip()
    if not typed:
        return None
    bar = _read("bar", lambda: read_pressure(typed))
    warmth = texts.get("celsius", "").strip()
    celsius = _read("celsius", lambda: _read_warmth(warmth)) if warmth else here.shop.air.celsius
    try:
        return Gauge(bar, celsius)
    except ValueError as wrong:
        raise Refused(Problem("bar", str(wrong))) from None


def read_pressure(text: str) -> float:
    """Bar above the air. Raises ValidationError with a sentence."""
    found = _PRESSURE.fullmatch(text.strip())
    if not found:
        raise ValidationError(f"“{text}” is no pressure. {NO_PRESSURE}")
    in_psi = (found[2] or "bar").lower() != "bar"
    number = found[1].replace(" ", "")
    number = number.replace(",", "") if in_psi else number
    high = 5000.0 if in_psi else 350.0
    read = read_number(number, 0, high, "psi" if in_psi else "bar")
    return read * BAR_PER_PSI if in_psi else read


def _read_warmth(text: str) -> float:
    formats = visit().formats
    low, high = formats.shown_warmth(COLDEST_C), formats.shown_warmth(HOTTEST_C)
    return formats.celsius_of(read_number(text, low, high, "°F" if formats.fahrenheit else "°C"))


def _read(field: str, read: Callable[[], float]) -> float:
    try:
        return read()
    except ValidationError as wrong:
        raise Refused(Problem(field, str(wrong))) from None
