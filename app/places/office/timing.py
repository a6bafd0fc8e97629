"""Office: a timed fill gives the flow of a filling point, and so the seconds that every size takes."""

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for
from wtforms import SelectChoice
from wtforms.validators import ValidationError

from app.actions.shop.settings_history import change_shop_settings
from app.craft.sizing import fill_size, filled_litres
from app.physics.balloon import BalloonType, Gas, sphere_litres
from app.physics.light import Surroundings
from app.places.office.recalculated import save_and_recalculate, status_of
from app.places.office.settings import stored_settings
from app.planning.work import fill_seconds, timed_flow
from app.quoting.catalogue import BalloonOffer
from app.quoting.settings.all_settings import SETTINGS
from app.web.forms import (
    ChoiceField,
    MeasureField,
    NumberField,
    RadioChoiceField,
    ShopForm,
    WholeField,
    add_sentence,
    choices_of,
    read_id,
)
from app.web.htmx import see_other
from app.web.requests import request_context

POINTS = {Gas.HELIUM: "Helium", Gas.AIR: "Air"}
SETTING_OF = {
    gas: next(setting for setting in SETTINGS if setting.key == f"{gas}_l_per_s") for gas in (Gas.HELIUM, Gas.AIR)
}
SHOWN_IN = (5, 9, 11, 16, 18, 36)
"""The sizes of latex, in inches, for which seconds are shown."""
OFFERED_IN = 11
"""The size that is offered first."""
SMALLEST_SHARE = 0.3
"""The smallest size that can be timed, as a share of the rated diameter; no source."""
MOST_FILLS = 100
SHORTEST_S, LONGEST_S = 0.5, 3600.0
CHOOSE_TYPE = "Choose a balloon type."
ALWAYS_FULL = "Leave this blank: a {material} is always filled full."
AIR_ONLY = "{name} is filled with air only: choose another one for helium."
LITRES_UNKNOWN = "The litres of {name} are not entered yet: choose a latex balloon."
NO_SUCH_FLOW = (
    "This gives {flow:.3g} L/s; a filling point gives {low:g} to {high:g} L/s. "
    "Check the seconds, the number of balloons and their size."
)


@dataclass(frozen=True, slots=True)
class TimingColumn:
    """The seconds for each of SHOWN_IN, at this flow in litres per second."""

    label: str
    flow: float
    seconds: tuple[str, ...]


class TimingForm(ShopForm):
    """What was timed: so many balloons, of this type and size, in so many seconds."""

    gas = RadioChoiceField("Filling point", choices=choices_of(POINTS), default=Gas.HELIUM.value)
    balloon_type = ChoiceField("Balloon type")
    size = MeasureField("Fill size", 0, 0, "in", optional=True)
    fills = WholeField("Balloons timed", 1, MOST_FILLS)
    seconds = NumberField("Seconds in total", SHORTEST_S, LONGEST_S, "s")

    @property
    def of_gas(self) -> Gas:
        """The gas of the filling point."""
        return Gas.AIR if self.gas.data == Gas.AIR else Gas.HELIUM

    @property
    def row(self) -> BalloonOffer | None:
        """The chosen balloon type; None if none is chosen."""
        return request_context().catalogue.balloon_types.get(read_id(self.balloon_type.data))

    def offer_balloon_types(self) -> None:
        """Sets the choices of balloon types."""
        rows = list(request_context().catalogue.balloon_types.values())
        self.balloon_type.choices = [SelectChoice(str(row.id), row.name) for row in rows]
        if not self.balloon_type.data:
            first = min(rows, key=lambda row: (not row.material.traits.stretches, abs(row.nominal_in - OFFERED_IN)))
            self.balloon_type.data = str(first.id)

    def validate(self, extra_validators: Any = None) -> bool:
        """Returns whether the form is valid; once all else can be read, the flow is checked too."""
        if self.row:
            self._set_sizes(self.row.balloon_type)
        if not super().validate(extra_validators) or self.row is None:
            return False
        return self._validate_flow(self.flow(self.row.balloon_type))

    def _set_sizes(self, balloon_type: BalloonType) -> None:
        """Sets the range of sizes for the balloon type."""
        self.size.low, self.size.high = (balloon_type.nominal_in * share for share in (SMALLEST_SHARE, 1.0))
        full = ALWAYS_FULL.format(material=balloon_type.material)
        self.size.error_sentence = "" if balloon_type.stretches else full

    def _validate_flow(self, flow: float) -> bool:
        """Returns whether the flow is possible."""
        setting = SETTING_OF[self.of_gas]
        if setting.low <= flow <= setting.high:
            return True
        add_sentence(self.seconds, NO_SUCH_FLOW.format(flow=flow, low=setting.low, high=setting.high))
        return False

    def validate_balloon_type(self, _field: Any) -> None:
        row = self.row
        if row is None:
            raise ValidationError(CHOOSE_TYPE)
        if row.air_only and self.of_gas is Gas.HELIUM:
            raise ValidationError(AIR_ONLY.format(name=row.name))
        if not row.material.traits.stretches and not row.balloon_type.helium_l:
            raise ValidationError(LITRES_UNKNOWN.format(name=row.name))

    def validate_size(self, field: Any) -> None:
        """Refuses a size for a balloon that is always filled full."""
        if field.text and field.error_sentence:
            raise ValidationError(field.error_sentence)

    def inches(self, balloon_type: BalloonType) -> float:
        """Returns the size on the sizer; if none was typed, the size to which the shop fills it for indoors."""
        size, shop = self.size.value_or_none, request_context().shop
        if size is not None:
            return size
        return fill_size(balloon_type, self.of_gas, shop.air, (), Surroundings.INDOORS, shop.air_sizes).diameter_in

    def flow(self, balloon_type: BalloonType) -> float:
        """Returns the litres per second, to three figures. The form must be valid."""
        litres = filled_litres(balloon_type, self.inches(balloon_type), share=1.0)
        return float(f"{timed_flow(litres, self.fills.value, self.seconds.value):.3g}")


def register(office: Blueprint) -> None:
    """Registers the page of timings."""
    office.get("/timing")(timing)
    office.post("/timing")(save_timing)


def timing() -> Response:
    """Shows the timings. With a timing in the address it also shows what that changes; nothing is saved."""
    return _page(_read(), asked="seconds" in request.args)


def save_timing() -> Response:
    """Saves a timing."""
    form = _read()
    stored = stored_settings(SETTING_OF[form.of_gas].key)
    if stored.accepts(form) and form.row and save_and_recalculate(form, lambda: _save(form)):
        return see_other(url_for("office.timing"))
    return _page(form, asked=True, status=status_of(form))


def _save(form: TimingForm) -> str:
    """Saves the flow, and returns the sentence about it. The form must be valid."""
    setting, flow = SETTING_OF[form.of_gas], form.flow(form.row.balloon_type) if form.row else 0.0
    change_shop_settings(request_context().context, {setting.key: flow})
    return f"{setting.label} saved: {request_context().formats.number(flow, 3)} L/s."


def _read() -> TimingForm:
    """Returns the form as it was sent."""
    form = TimingForm(request.form if request.method == "POST" else request.args)
    form.offer_balloon_types()
    return form


def _page(form: TimingForm, *, asked: bool, status: int = 422) -> Response:
    """Returns the page. asked: whether a timing was sent. status: if it was not saved."""
    stored_settings(SETTING_OF[form.of_gas].key).draw(form)
    right = asked and form.validate()
    flow = form.flow(form.row.balloon_type) if right and form.row else None
    page = render_template(
        "office/timing.html",
        form=form,
        flow=flow,
        timed=_in_words(form) if flow else "",
        point=POINTS[form.of_gas],
        sizes=[request_context().formats.size(inches) for inches in SHOWN_IN],
        columns=_columns(form.of_gas, flow),
    )
    return make_response(page, status if request.method == "POST" or (asked and not right) else 200)


def _in_words(form: TimingForm) -> str:
    """Returns the timing in words: “10 × 11 in latex, filled to 9 in: 5.0 s each”. The form must be valid."""
    row, formats, fills = form.row, request_context().formats, form.fills.value
    if row is None:
        return ""
    size = f"to {formats.size(form.inches(row.balloon_type))}" if row.material.traits.stretches else "full"
    return f"{fills} × {row.name}, filled {size}: {formats.seconds(form.seconds.value / fills)} each"


def _columns(gas: Gas, timed: float | None) -> list[TimingColumn]:
    """Returns the saved seconds, and beside them those of a timing for its own filling point."""
    saved = {point: request_context().shop.work_times.l_per_s(point) for point in POINTS}
    if timed is None:
        return [_column(point.capitalize(), flow) for point, flow in saved.items()]
    return [_column("Setting", saved[gas]), _column("Timed", timed)]


def _column(label: str, flow: float) -> TimingColumn:
    """Returns the seconds for a flow."""
    seconds = (request_context().formats.seconds(fill_seconds(sphere_litres(inches), flow)) for inches in SHOWN_IN)
    return TimingColumn(label, flow, tuple(seconds))
