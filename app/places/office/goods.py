"""Office: balloon kinds as weighed and priced, and the designs that are sold."""

from typing import Any

from flask import Blueprint, flash, make_response, render_template, request, url_for
from flask.wrappers import Response
from wtforms.validators import ValidationError

from app.actions.errors import Refused
from app.actions.office import KindFigures, add_design, change_kind, retire_design
from app.actions.parts import design_note
from app.craft.colours import ColoursUnclear, share_out
from app.physics.balloon import Gas
from app.physics.endurance import Filling, Surroundings, endurance, spending
from app.places.office.replanned import replan
from app.store.models import KindRow
from app.web.door import visit
from app.web.forms import read_id, read_money, read_number, read_whole
from app.web.htmx import see_other

PART_ROWS = 4


def add_to(office: Blueprint) -> None:
    office.get("/kinds")(kinds)
    office.post("/kinds/<int:kind_id>")(save_kind)
    office.get("/designs")(designs)
    office.post("/designs")(save_design)
    office.post("/designs/<int:design_id>/retire")(retire)
    office.post("/designs/<int:design_id>/sell")(sell_again)


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


def designs() -> Response:
    return _designs_page()


def save_design() -> Response:
    here, sent = visit(), request.form
    try:
        name = " ".join(sent.get("name", "").split())
        if not 1 <= len(name) <= 60:
            raise ValidationError("A name of 1 to 60 letters, please.")
        price = read_money(sent.get("price", ""), here.formats.decimals)
        minutes = read_number(sent.get("minutes", "") or "0", 0, 600, "minutes")
        design = add_design(here.session, name, price, minutes, _read_parts())
    except ValidationError as wrong:
        return _designs_page(str(wrong), status=422)
    except ColoursUnclear as unclear:
        return _designs_page(str(unclear), status=422)
    except Refused as refused:
        return _designs_page(refused.problems[0].sentence, status=422)
    flash(f"{design.name} is sold from now on.")
    return see_other(url_for("office.designs"))


def _read_parts() -> list[tuple[KindRow, Gas, int, list[list[str | int]]]]:
    sent, kinds = request.form, visit().goods.kinds
    parts = []
    for place in range(PART_ROWS):
        chosen = sent.get(f"kind-{place}", "")
        if not chosen:
            continue
        kind = kinds.get(read_id(chosen))
        if kind is None:
            raise ValidationError("The shop has no such kind: choose another.")
        quantity = read_whole(sent.get(f"quantity-{place}", ""), 1, 1000, f"{kind.name}, how many")
        gas = Gas.AIR if sent.get(f"gas-{place}") == "air" else Gas.HELIUM
        if gas is Gas.HELIUM and not _floats_for(kind):
            raise ValidationError(f"{kind.name} with helium does not float: too small. Fill it with air.")
        text = sent.get(f"colours-{place}", "").strip()
        colours: list[list[str | int]] = [[n, c] for n, c in share_out(text, quantity).items()] if text else []
        parts.append((kind, gas, quantity, colours))
    if not parts:
        raise ValidationError("What is it made of? One part at least, please.")
    return parts


def retire(design_id: int) -> Response:
    design = retire_design(visit().session, design_id, visit().now)
    flash(f"{design.name} is no longer sold. Orders that have it keep it.")
    return see_other(url_for("office.designs"))


def sell_again(design_id: int) -> Response:
    design = retire_design(visit().session, design_id, None)
    flash(f"{design.name} is sold again.")
    return see_other(url_for("office.designs"))


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


def _designs_page(wrong: str = "", status: int = 200) -> Response:
    goods = visit().goods
    shown: list[Any] = [(design, design_note(design, goods)) for design in goods.designs.values()]
    page = render_template(
        "office/designs.html",
        designs=shown,
        kinds=goods.kinds.values(),
        part_rows=PART_ROWS,
        wrong=wrong,
        sent=request.form,
    )
    return make_response(page, status)
