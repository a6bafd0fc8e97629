"""Office: the weight of ten balloons, and what it changes in the float time."""

from dataclasses import dataclass, replace
from typing import ClassVar

from flask import Blueprint, Response, make_response, render_template, request, url_for

from app.actions.catalogue.balloon_types import load_balloon_type, weigh_balloon_type
from app.physics.balloon import BalloonType
from app.physics.float_time import float_time
from app.places.office.balloon_types import stored_balloon_type
from app.places.office.recalculated import save_and_recalculate, status_of
from app.quoting.errors import Refused
from app.store.models import BalloonTypeRow
from app.web.forms import MeasureField, ShopForm
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.stored_form import StoredForm
from app.web.wording.float_time import float_time_words

TEN = 10
LIGHTEST_G, HEAVIEST_G = 1.0, 10_000.0
"""The range of the grams of ten balloons."""


class WeighForm(ShopForm):
    """The grams of ten balloons."""

    field_names: ClassVar = {"mass_g": "ten"}

    ten = MeasureField("Weight of ten", LIGHTEST_G, HEAVIEST_G, "g")

    @property
    def grams(self) -> float:
        """The grams of one balloon."""
        return round(self.ten.value / TEN, 3)


@dataclass(frozen=True, slots=True)
class ShownHours:
    """The float time when full, in the shop: the median, and what is promised at the shop's certainty."""

    how: str
    median: str
    promised: str


def register(office: Blueprint) -> None:
    """Registers the page of the weighing."""
    office.get("/balloon-types/<int:balloon_type_id>/weigh")(weigh)
    office.post("/balloon-types/<int:balloon_type_id>/weigh")(save_weight)


def weigh(balloon_type_id: int) -> Response:
    """Shows the weighing. With the grams of ten in the address it also shows what they change; nothing is saved."""
    row = load_balloon_type(request_context().session, balloon_type_id)
    form = WeighForm(request.args)
    if "ten" not in request.args:
        return _page(row, form)
    return _page(row, form, form.grams) if form.validate() else _page(row, form, status=422)


def save_weight(balloon_type_id: int) -> Response:
    """Saves the weight."""
    stored = _stored(balloon_type_id)
    row = load_balloon_type(request_context().session, balloon_type_id)
    form = WeighForm(request.form)
    if stored.accepts(form):
        try:
            if save_and_recalculate(form, lambda: _save(row, form, stored)):
                return see_other(url_for("office.balloon_type", balloon_type_id=balloon_type_id))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _page(row, form, None if form.problems else form.grams, status_of(form))


def _save(row: BalloonTypeRow, form: WeighForm, stored: StoredForm) -> str:
    """Saves the weight, and returns the sentence about it."""
    weigh_balloon_type(request_context().session, row.id, form.grams)
    stored.write_history()
    return f"{row.name} saved: {request_context().formats.weighed(row.mass_g, 3)} each."


def _stored(balloon_type_id: int) -> StoredForm:
    """Returns the stored weight of a balloon type."""
    return stored_balloon_type(balloon_type_id, "mass_g")


def _page(row: BalloonTypeRow, form: WeighForm, grams: float | None = None, status: int = 200) -> Response:
    """Returns the page. grams: of one balloon, as weighed."""
    _stored(row.id).draw(form)
    balloon_type = row.balloon_type
    weighed = replace(balloon_type, mass_g=grams) if grams else None
    page = render_template(
        "office/weigh.html",
        row=row,
        form=form,
        grams=grams,
        saved=_hours(balloon_type),
        weighed=_hours(weighed) if weighed else [],
    )
    return make_response(page, status)


def _hours(balloon_type: BalloonType) -> list[ShownHours]:
    """Returns the float times of the balloon type."""
    ways = {"Untreated": False} | ({"Treated": True} if balloon_type.material.traits.can_be_treated else {})
    return (
        []
        if balloon_type.air_only
        else [_shown(how, balloon_type, treated=treated) for how, treated in ways.items()]
    )


def _shown(how: str, balloon_type: BalloonType, *, treated: bool) -> ShownHours:
    """Returns one float time in words."""
    shop, formats = request_context().shop, request_context().formats
    median, promised = (
        float_time(balloon_type, shop.air, shop.float_defaults, treated=treated, certainty=certainty)
        for certainty in (None, shop.certainty.safe)
    )
    safe = float_time_words(promised, formats) if median.hours else ""
    return ShownHours(how, float_time_words(median, formats), safe)
