"""Office: ten balloons of a kind on the scales, and what that changes in the hours."""

from dataclasses import dataclass, replace

from flask import Blueprint, Response, make_response, render_template, request, url_for
from wtforms.validators import ValidationError

from app.actions.catalogue.balloon_types import load_kind, weigh_kind
from app.actions.errors import Refused
from app.physics.balloon import Gas, Kind
from app.physics.endurance import Filling, Surroundings, endurance, spending
from app.places.office.recalculated import replan
from app.store.models import KindRow
from app.web.forms import read_number
from app.web.htmx import see_other
from app.web.requests import visit

TEN = 10
LIGHTEST_G, HEAVIEST_G = 1.0, 10_000.0
"""Of ten."""


@dataclass(frozen=True, slots=True)
class ShownHours:
    """Full, in the shop: the median, and what is promised at the shop's certainty."""

    how: str
    median: str
    sure: str


def add_to(office: Blueprint) -> None:
    office.get("/kinds/<int:kind_id>/weigh")(weigh)
    office.post("/kinds/<int:kind_id>/weigh")(keep_weight)


def weigh(kind_id: int) -> Response:
    """With the grams of ten in the address, also what they change; nothing is kept."""
    row = load_kind(visit().session, kind_id)
    try:
        return _page(row, _read_grams(request.args["ten"]) if "ten" in request.args else None)
    except ValidationError as wrong:
        return _page(row, problem=str(wrong), status=422)


def keep_weight(kind_id: int) -> Response:
    row = load_kind(visit().session, kind_id)
    try:
        weigh_kind(visit().session, kind_id, _read_grams(request.form.get("ten", "")))
    except ValidationError as wrong:
        return _page(row, problem=str(wrong), status=422)
    except Refused as refused:
        return _page(row, problem=refused.problems[0].sentence, status=422)
    replan(f"{row.name} weighs {row.mass_g:g} g each.")
    return see_other(url_for("office.kind", kind_id=kind_id))


def _read_grams(text: str) -> float:
    """Of one, from those of ten. Raises ValidationError with a sentence."""
    return round(read_number(text, LIGHTEST_G, HEAVIEST_G, "g") / TEN, 3)


def _page(row: KindRow, grams: float | None = None, problem: str = "", status: int = 200) -> Response:
    kind = row.kind()
    weighed = replace(kind, mass_g=grams) if grams else None
    page = render_template(
        "office/weigh.html",
        row=row,
        grams=grams,
        kept=_hours(kind),
        weighed=_hours(weighed) if weighed else [],
        problem=problem,
        typed=request.values.get("ten", ""),
    )
    return make_response(page, status)


def _hours(kind: Kind) -> list[ShownHours]:
    ways = {"untreated": False} | ({"treated": True} if kind.stretches else {})
    return [] if kind.air_only else [_shown(how, kind, treated=treated) for how, treated in ways.items()]


def _shown(how: str, kind: Kind, *, treated: bool) -> ShownHours:
    shop, told = visit().shop, visit().formats.hours
    filling = Filling(kind, Gas.HELIUM, kind.full_litres, shop.air, treated)
    owns, pace = endurance(filling, shop.habits), spending(filling, shop.air, Surroundings.INDOORS, shop.habits)
    if owns.budget <= 0:
        return ShownHours(how, "does not float", "")
    return ShownHours(how, told(owns.hours_at(pace)), told(owns.hours_at(pace, shop.certainty.safe)))
