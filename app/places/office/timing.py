"""Office: a timed fill gives the flow of a filling point, and so the seconds that every size takes."""

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for
from wtforms import Form, RadioField, SelectChoice, SelectField, StringField
from wtforms.validators import ValidationError

from app.actions.shop.office import change_settings
from app.craft.sizing import fill_size, filled_litres
from app.physics.balloon import BalloonType, Gas, sphere_litres
from app.physics.endurance import Surroundings
from app.places.office.recalculated import replan
from app.planning.work import fill_seconds, timed_flow
from app.quoting.settings.all_settings import SETTINGS
from app.store.models import BalloonTypeRow
from app.web.forms import read_id, read_number, read_whole
from app.web.htmx import see_other
from app.web.requests import request_context

POINTS = {Gas.HELIUM: "Helium point", Gas.AIR: "Air point"}
SETTING_OF = {
    gas: next(setting for setting in SETTINGS if setting.key == f"{gas}_l_per_s") for gas in (Gas.HELIUM, Gas.AIR)
}
SHOWN_IN = (5, 9, 11, 16, 18, 36)
"""Latex filled to so many inches."""
OFFERED_IN = 11
"""The size that is offered first."""
SMALLEST_SHARE = 0.3
"""Of the rated diameter; no source: less is no fill worth timing."""
MOST_FILLS = 100
SHORTEST_S, LONGEST_S = 0.5, 3600.0


@dataclass(frozen=True, slots=True)
class TimingColumn:
    """Seconds for each of SHOWN_IN."""

    heading: str
    seconds: tuple[str, ...]


class TimingForm(Form):
    gas = RadioField(
        "Filling point",
        choices=[SelectChoice(gas.value, label) for gas, label in POINTS.items()],
        default=Gas.HELIUM.value,
        validate_choice=False,
    )
    balloon_type = SelectField("Balloon", validate_choice=False)
    size = StringField("Filled to")
    fills = StringField("How many timed")
    seconds = StringField("Seconds in all")

    @property
    def of_gas(self) -> Gas:
        return Gas.AIR if self.gas.data == Gas.AIR else Gas.HELIUM

    @property
    def row(self) -> BalloonTypeRow | None:
        return request_context().catalogue.balloon_types.get(read_id(self.balloon_type.data))

    def offer_balloon_types(self) -> None:
        rows = list(request_context().catalogue.balloon_types.values())
        self.balloon_type.choices = [SelectChoice(str(row.id), row.name) for row in rows]
        if not self.balloon_type.data:
            first = min(rows, key=lambda row: (row.material != "latex", abs(row.nominal_in - OFFERED_IN)))
            self.balloon_type.data = str(first.id)

    def validate_gas(self, field: Any) -> None:
        if field.data not in {*POINTS}:
            raise ValidationError("One of these, please.")

    def validate_balloon_type(self, _field: Any) -> None:
        row = self.row
        if row is None:
            raise ValidationError("One of these, please.")
        if row.air_only and self.of_gas is Gas.HELIUM:
            raise ValidationError(f"{row.name} is filled with air only: time another at the helium point.")
        if row.material != "latex" and not row.helium_l:
            raise ValidationError(f"Nobody has said how many litres {row.name} takes: time latex.")

    def validate_size(self, _field: Any) -> None:
        if self.row:
            self.read_inches(self.row.balloon_type())

    def validate_fills(self, _field: Any) -> None:
        self.read_fills()

    def validate_seconds(self, field: Any) -> None:
        """Also what flow it makes, once all else can be read."""
        self.read_seconds()
        if self.row and not any(other.errors for other in self if other is not field):
            _refuse_strange_flow(self.flow(self.row.balloon_type()), self.of_gas)

    def read_inches(self, balloon_type: BalloonType) -> float:
        """On the sizer; where nothing is said, what the shop fills it to indoors."""
        text, shop, formats = (self.size.data or "").strip(), request_context().shop, request_context().formats
        if not text:
            full = fill_size(balloon_type, self.of_gas, shop.air, (), Surroundings.INDOORS, shop.air_sizes)
            return full.diameter_in
        if not balloon_type.stretches:
            raise ValidationError("Foil and spheres are timed full: leave it empty.")
        low, high = (formats.shown_size(balloon_type.nominal_in * share) for share in (SMALLEST_SHARE, 1.0))
        return formats.inches_of(read_number(text, low, high, formats.size_unit))

    def read_fills(self) -> int:
        return read_whole(self.fills.data or "", 1, MOST_FILLS, "How many")

    def read_seconds(self) -> float:
        return read_number(self.seconds.data or "", SHORTEST_S, LONGEST_S, "s")

    def flow(self, balloon_type: BalloonType) -> float:
        """Litres per second to three figures, of a form that was found right."""
        litres = filled_litres(balloon_type, self.read_inches(balloon_type), share=1.0)
        return float(f"{timed_flow(litres, self.read_fills(), self.read_seconds()):.3g}")


def register(office: Blueprint) -> None:
    office.get("/timing")(timing)
    office.post("/timing")(save_timing)


def timing() -> Response:
    """With a timing in the address, also what it changes; nothing is kept."""
    return _page(_read(), asked="seconds" in request.args)


def save_timing() -> Response:
    form = _read()
    if not form.validate() or form.row is None:
        return _page(form, asked=True)
    setting, flow = SETTING_OF[form.of_gas], form.flow(form.row.balloon_type())
    change_settings(request_context().session, {setting.key: flow})
    replan(f"The {POINTS[form.of_gas].lower()} gives {flow:g} L/s.")
    return see_other(url_for("office.timing"))


def _read() -> TimingForm:
    form = TimingForm(request.form if request.method == "POST" else request.args)
    form.offer_balloon_types()
    return form


def _refuse_strange_flow(flow: float, gas: Gas) -> None:
    setting = SETTING_OF[gas]
    if not setting.low <= flow <= setting.high:
        raise ValidationError(
            f"That would be {flow:.3g} L/s, out of range: {setting.low:g} to {setting.high:g} L/s. "
            "Look again at the seconds, at how many were timed and at their size."
        )


def _page(form: TimingForm, *, asked: bool) -> Response:
    right = asked and form.validate()
    flow = form.flow(form.row.balloon_type()) if right and form.row else None
    page = render_template(
        "office/timing.html",
        form=form,
        flow=flow,
        timed=_write_history(form) if flow else "",
        point=POINTS[form.of_gas],
        sizes=[request_context().formats.size(inches) for inches in SHOWN_IN],
        columns=_columns(form.of_gas, flow),
    )
    return make_response(page, 422 if asked and not right else 200)


def _write_history(form: TimingForm) -> str:
    """“10 of 11 in latex at 9 in, 5.0 s each”, of a form that was found right."""
    row, tell, fills = form.row, request_context().formats, form.read_fills()
    if row is None:
        return ""
    size = f"at {tell.size(form.read_inches(row.balloon_type()))}" if row.material == "latex" else "full"
    return f"{fills} of {row.name} {size}, {tell.seconds(form.read_seconds() / fills)} each"


def _columns(gas: Gas, timed: float | None) -> list[TimingColumn]:
    """What is kept; beside a timing only that of its own point."""
    saved = {point: request_context().shop.work_times.l_per_s(point) for point in POINTS}
    if timed is None:
        return [_column(point.capitalize(), flow) for point, flow in saved.items()]
    return [_column("Kept", saved[gas]), _column("Timed", timed)]


def _column(label: str, flow: float) -> TimingColumn:
    seconds = (request_context().formats.seconds(fill_seconds(sphere_litres(inches), flow)) for inches in SHOWN_IN)
    return TimingColumn(f"{label} {flow:g} L/s", tuple(seconds))
