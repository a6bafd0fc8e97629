"""Office: ten balloons of a kind on the scales, and what that changes in the hours."""

from dataclasses import dataclass, replace

from flask import Blueprint, Response, make_response, render_template, request, url_for
from wtforms.validators import ValidationError

from app.actions.catalogue.balloon_types import load_balloon_type, weigh_balloon_type
from app.physics.balloon import BalloonType, Gas
from app.physics.endurance import Filling, Surroundings, endurance, spending
from app.places.office.recalculated import replan
from app.quoting.errors import Refused
from app.store.models import BalloonTypeRow
from app.web.forms import read_number
from app.web.htmx import see_other
from app.web.requests import request_context

TEN = 10
LIGHTEST_G, HEAVIEST_G = 1.0, 10_000.0
"""Of ten."""


@dataclass(frozen=True, slots=True)
class ShownHours:
    """Full, in the shop: the median, and what is promised at the shop's certainty."""

    how: str
    median: str
    sure: str


def register(office: Blueprint) -> None:
    office.get("/balloon-types/<int:balloon_type_id>/weigh")(weigh)
    office.post("/balloon-types/<int:balloon_type_id>/weigh")(save_weight)


def weigh(balloon_type_id: int) -> Response:
    """With the grams of ten in the address, also what they change; nothing is kept."""
    row = load_balloon_type(request_context().session, balloon_type_id)
    try:
        return _page(row, _read_grams(request.args["ten"]) if "ten" in request.args else None)
    except ValidationError as wrong:
        return _page(row, problem=str(wrong), status=422)


def save_weight(balloon_type_id: int) -> Response:
    row = load_balloon_type(request_context().session, balloon_type_id)
    try:
        weigh_balloon_type(request_context().session, balloon_type_id, _read_grams(request.form.get("ten", "")))
    except ValidationError as wrong:
        return _page(row, problem=str(wrong), status=422)
    except Refused as refused:
        return _page(row, problem=refused.problems[0].sentence, status=422)
    replan(f"{row.name} weighs {row.mass_g:g} g each.")
    return see_other(url_for("office.balloon_type", balloon_type_id=balloon_type_id))


def _read_grams(text: str) -> float:
    """Of one, from those of ten. Raises ValidationError with a sentence."""
    return round(read_number(text, LIGHTEST_G, HEAVIEST_G, "g") / TEN, 3)


def _page(row: BalloonTypeRow, grams: float | None = None, problem: str = "", status: int = 200) -> Response:
    balloon_type = row.balloon_type
    weighed = replace(balloon_type, mass_g=grams) if grams else None
    page = render_template(
        "office/weigh.html",
        row=row,
        grams=grams,
        saved=_hours(balloon_type),
        weighed=_hours(weighed) if weighed else [],
        problem=problem,
        typed=request.values.get("ten", ""),
    )
    return make_response(page, status)


def _hours(balloon_type: BalloonType) -> list[ShownHours]:
    ways = {"untreated": False} | ({"treated": True} if balloon_type.material.traits.can_be_treated else {})
    return (
        []
        if balloon_type.air_only
        else [_shown(how, balloon_type, treated=treated) for how, treated in ways.items()]
    )


def _shown(how: str, balloon_type: BalloonType, *, treated: bool) -> ShownHours:
    shop, told = request_context().shop, request_context().formats.hours
    filling = Filling(balloon_type, Gas.HELIUM, balloon_type.full_litres, shop.air, treated)
    owns, loss_rate = (
        endurance(filling, shop.float_defaults),
        spending(filling, shop.air, Surroundings.INDOORS, shop.float_defaults),
    )
    if owns.budget <= 0:
        return ShownHours(how, "does not float", "")
    return ShownHours(how, told(owns.hours_at(loss_rate)), told(owns.hours_at(loss_rate, shop.certainty.safe)))
