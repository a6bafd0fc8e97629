"""Office: balloon kinds as weighed and priced."""

from flask import Blueprint, make_response, render_template, request, url_for
from flask.wrappers import Response
from wtforms.validators import ValidationError

from app.actions.errors import Refused
from app.actions.office import KindFigures, change_kind
from app.physics.balloon import Gas
from app.physics.endurance import Filling, Surroundings, endurance, spending
from app.places.office.replanned import replan
from app.store.models import KindRow
from app.web.door import visit
from app.web.forms import read_money, read_number
from app.web.htmx import see_other


def add_to(office: Blueprint) -> None:
    office.get("/kinds")(kinds)
    office.post("/kinds/<int:kind_id>")(save_kind)


def kinds() -> Response:
    return _kinds_page()


def save_kind(kind_id: int) -> Response:
    here = visit()
    try:
        figures = _read_figures()
        row = change_kind(here.session, kind_id, figures)
    except ValidationError as wrong:
        return _kinds_page(kind_id, str(wrong), status=422)
    except Refused as refused:
        return _kinds_page(kind_id, refused.problems[0].sentence, status=422)
    replan(f"{row.name} is kept.")
    return see_other(url_for("office.kinds"))


def _read_figures() -> KindFigures:
    sent, decimals = request.form, visit().formats.decimals

    def optional(name: str, high: float, unit: str) -> float | None:
        text = sent.get(name, "").strip()
        return read_number(text, 0.01, high, unit) if text else None

    def optional_money(name: str) -> int | None:
        text = sent.get(name, "").strip()
        return read_money(text, decimals) if text else None

    return KindFigures(
        mass_g=read_number(sent.get("mass_g", ""), 0.1, 1000, "g"),
        helium_l=optional("helium_l", 5000, "L"),
        median_hours=optional("median_hours", 5000, "h"),
        size_factor=read_number(sent.get("size_factor", ""), 0.1, 5, ""),
        price_minor=read_money(sent.get("price", ""), decimals),
        fill_minor=optional_money("fill"),
        top_up_minor=optional_money("top_up"),
    )


def _kinds_page(wrong_id: int = 0, wrong: str = "", status: int = 200) -> Response:
    here = visit()
    rows = [(row, _hours_of(row), row.id == wrong_id) for row in here.goods.kinds.values()]
    page = render_template("office/kinds.html", rows=rows, wrong=wrong, sent=request.form)
    return make_response(page, status)


def _hours_of(row: KindRow) -> str:
    if row.air_only:
        return "air only"
    hours = _floats_for(row)
    return visit().formats.hours(hours) if hours else "does not float"


def _floats_for(row: KindRow) -> float:
    """Median hours with helium in the shop, untreated and full; 0 when it does not rise."""
    if row.air_only:
        return 0.0
    shop, kind = visit().shop, row.kind()
    filling = Filling(kind, Gas.HELIUM, kind.full_litres, shop.air)
    in_shop = spending(filling, shop.air, Surroundings.INDOORS, shop.habits)
    return endurance(filling, shop.habits).hours_at(in_shop)
