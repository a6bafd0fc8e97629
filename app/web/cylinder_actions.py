"""This module handles the buttons of a cylinder, at the bench, in the office or for an order: read it, move it."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from flask import request
from wtforms.validators import ValidationError

from app.actions.gas.balance import CylinderNow
from app.actions.gas.moves import bring_back, change_state, send_along
from app.actions.gas.readings import add_reading, last_gauge
from app.actions.gas.venue import GasAlong, load_gas_along
from app.craft.gas import COLDEST_C, HOTTEST_C, PressureReading
from app.quoting.errors import Problem, Refused
from app.quoting.states import CylinderState
from app.store.models import Cylinder
from app.web.forms import PressureField, ShopForm, TemperatureField, add_sentence, read_id, sent_client_key
from app.web.requests import request_context
from app.web.wording.forms import ENTER_PRESSURE, PAGE_OUT_OF_DATE
from app.web.wording.gas import PART_USED, STATE_WORDS, ShownCylinder, is_full, litres, show_cylinder

STATES: Mapping[str, CylinderState] = {
    "use": CylinderState.IN_USE,
    "aside": CylinderState.FULL,
    "empty": CylinderState.EMPTY,
    "gone": CylinderState.GONE_BACK,
}


class CylinderActionForm(ShopForm):
    """What is pressed on a cylinder, with its gauge where one is typed. A question about the gauge is shown at its
    field."""

    field_names: ClassVar = {"sure": "bar"}

    bar = PressureField("Gauge", optional=True)
    celsius = TemperatureField("Cylinder temperature", COLDEST_C, HOTTEST_C, optional=True)

    cylinder_id = 0
    needs_confirmation = False
    """Whether the gauge is believed only once somebody says that it is right."""

    @property
    def act(self) -> str:
        return _act()

    def validate_bar(self, field: Any) -> None:
        if self.act == "read" and field.value_or_none is None:
            raise ValidationError(ENTER_PRESSURE)

    def validate_celsius(self, field: Any) -> None:
        """Adds a sentence to the gauge when this pressure is impossible at this temperature."""
        if self.bar.errors or self.bar.value_or_none is None:
            return
        try:
            PressureReading(self.bar.value, self._celsius)
        except ValueError as wrong:
            add_sentence(self.bar, wrong)

    @property
    def _celsius(self) -> float:
        """Returns the temperature of the cylinder; that of the shop when none was typed."""
        typed = self.celsius.value_or_none
        return request_context().shop.air.celsius if typed is None else typed

    @property
    def gauge(self) -> PressureReading | None:
        """None where no pressure was typed."""
        bar = self.bar.value_or_none
        return None if bar is None else PressureReading(bar, self._celsius)


def apply_cylinder_action(cylinder_id: int) -> tuple[Cylinder | None, CylinderActionForm]:
    """Returns the changed cylinder and its form; None and a form with sentences when refused. Raises NotFound."""
    form = CylinderActionForm(request.form, id_suffix=cylinder_id)
    form.cylinder_id = cylinder_id
    if not form.validate() or form.bar.errors:
        return None, form
    try:
        return _press(form), form
    except Refused as refused:
        form.needs_confirmation = any(problem.field == "sure" for problem in refused.problems)
        form.add_problems(refused.problems)
        return None, form


def cylinder_action_forms(refused: CylinderActionForm | None = None) -> Callable[[int], CylinderActionForm]:
    """Returns a function from a cylinder's number to its form: the refused form for its cylinder, else an empty
    one."""

    def form_of(cylinder_id: int) -> CylinderActionForm:
        is_refused = refused is not None and refused.cylinder_id == cylinder_id
        return refused if refused and is_refused else CylinderActionForm(id_suffix=cylinder_id)

    return form_of


def _press(form: CylinderActionForm) -> Cylinder:
    """Raises Refused, NotFound."""
    here, act, key, cylinder_id = request_context(), _act(), sent_client_key(), form.cylinder_id
    gauge, sure = form.gauge, "sure" in request.form
    if act == "read" and gauge:
        return add_reading(here.context, cylinder_id, gauge, key, sure=sure)
    if act == "back":
        return bring_back(here.context, cylinder_id, gauge, key, sure=sure)
    if act == "along":
        number = read_id(request.form.get("number"))
        return send_along(here.context, cylinder_id, number, gauge, key, sure=sure)
    if act not in STATES:
        raise Refused(Problem("act", PAGE_OUT_OF_DATE))
    return change_state(here.context, cylinder_id, STATES[act], gauge, key, sure=sure)


def _act() -> str:
    """Returns what to do: the act of the button that was pressed. The button that confirms a reading carries the
    act about which was asked."""
    return request.form.get("sure") or request.form.get("act", "")


def describe_cylinder_action(row: Cylinder) -> str:
    """Returns the sentence for what was pressed, and how to undo it when the cylinder leaves every list."""
    name = row.name
    sentences = {
        "read": f"Reading of {name} saved.",
        "use": f"{name} is in use.",
        "empty": f"{name} is empty. {_undo_hint('Not empty: put away')}",
        "gone": f"{name} is returned to the supplier. {_undo_hint('Still here: put away')}",
        "back": f"{name} is back from the venue.",
        "along": f"{name} goes to the venue. Read its gauge when it is back.",
    }
    act = _act()
    return _put_aside_sentence(row) if act == "aside" else sentences.get(act, f"{name} saved.")


def _undo_hint(press: str) -> str:
    return f"To undo: Office, Gas, “Empty or returned”, “{press}”."


def _put_aside_sentence(row: Cylinder) -> str:
    full = is_full(row, last_gauge(request_context().session, row))
    return f"{row.name} is {'put away, full' if full else STATE_WORDS[PART_USED]}."


@dataclass(frozen=True, slots=True)
class VenueHelium:
    """The helium of one order that is filled at a venue.

    needed: what is still to be filled, including spares. cylinders: those that go along. contents: what is in them.
    is_enough: whether that is enough. candidates: the cylinders in the shop, first the one not in use with the
    least gas that is enough.
    """

    litres_needed: float
    needed: str
    cylinders: tuple[ShownCylinder, ...]
    contents: str
    is_enough: bool
    candidates: tuple[ShownCylinder, ...]


def load_venue_helium(order_ids: Collection[int]) -> dict[int, VenueHelium]:
    """Returns the helium of each of these orders; nothing when no cylinder was ever entered."""
    found = load_gas_along(request_context().context, order_ids)
    return {order_id: _show(gas) for order_id, gas in found.items()}


def _show(gas: GasAlong) -> VenueHelium:
    first = sorted(
        gas.candidates,
        key=lambda one: (
            one.left < gas.needed,
            one.row.state == CylinderState.IN_USE,
            abs(one.left - gas.needed),
        ),
    )
    formats, shown = request_context().formats, _shown(gas.cylinders)
    needed, held = litres(gas.needed, formats), litres(gas.held, formats)
    return VenueHelium(gas.needed, needed, shown, held, gas.is_enough, _shown(first))


def _shown(rows: Iterable[CylinderNow]) -> tuple[ShownCylinder, ...]:
    here = request_context()
    return tuple(show_cylinder(one, here.shop, here.formats) for one in rows)
