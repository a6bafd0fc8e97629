"""Office: balloon kinds as they are made, weighed, bought and priced; a page for each."""

from collections.abc import Mapping

from flask import Blueprint, flash, render_template, request, url_for
from flask.wrappers import Response

from app.actions.catalogue.balloon_types import (
    SHAPES,
    KindFigures,
    add_kind,
    change_kind,
    load_kind,
    material_is_held,
    retire_kind,
)
from app.actions.errors import Refused
from app.physics.balloon import Gas, Material
from app.physics.endurance import Filling, Surroundings, endurance, spending
from app.places.office.recalculated import replan
from app.places.office.record_page import page, plain, problems_by_field
from app.store.models import KindRow
from app.web.htmx import see_other
from app.web.requests import visit
from app.web.typed import Typed

HEADINGS = {Material.LATEX: "Latex", Material.FOIL: "Foil", Material.SPHERE: "Spheres"}
MONEY = {"price_minor": "price", "fill_minor": "fill", "top_up_minor": "top_up", "pack_minor": "pack_cost"}
"""Names in the form of what is called otherwise in the store."""
GASES = {"both": "helium or air", "air": "air only"}


def add_to(office: Blueprint) -> None:
    office.get("/kinds")(kinds)
    office.get("/kinds/new")(new_kind)
    office.post("/kinds/new")(keep_new_kind)
    office.get("/kinds/<int:kind_id>")(kind)
    office.post("/kinds/<int:kind_id>")(save_kind)
    office.post("/kinds/<int:kind_id>/retire")(retire_this_kind)
    office.post("/kinds/<int:kind_id>/sell")(sell_kind_again)


def kinds() -> str:
    rows = sorted(visit().goods.kinds.values(), key=lambda row: (row.nominal_in, row.name))
    groups = {
        heading: [(row, _told_hours(row)) for row in rows if row.material == material and not row.retired_at]
        for material, heading in HEADINGS.items()
    }
    return render_template("office/kinds.html", groups=groups, retired=[row for row in rows if row.retired_at])


def kind(kind_id: int) -> Response:
    row = load_kind(visit().session, kind_id)
    return _kind_page(_texts_of(row), row)


def save_kind(kind_id: int) -> Response:
    here = visit()
    row = load_kind(here.session, kind_id)
    texts = _texts_of(row) | request.form.to_dict()
    try:
        row = change_kind(here.session, kind_id, _read(texts))
    except Refused as refused:
        return _kind_page(texts, row, refused)
    replan(f"{row.name} is kept.")
    return see_other(url_for("office.kinds"))


def new_kind() -> Response:
    """Of latex until another material is chosen, which changes what is asked."""
    return _kind_page(_blank(request.args.get("material", "")))


def keep_new_kind() -> Response:
    texts = _blank("") | request.form.to_dict()
    try:
        row = add_kind(visit().session, _read(texts))
    except Refused as refused:
        return _kind_page(texts, refused=refused)
    flash(f"{row.name} is kept, and offered from now on.")
    return see_other(url_for("office.kinds"))


def retire_this_kind(kind_id: int) -> Response:
    row = retire_kind(visit().session, kind_id, visit().now)
    flash(f"{row.name} is no longer offered. Orders and designs that have it keep it.")
    return see_other(url_for("office.kinds"))


def sell_kind_again(kind_id: int) -> Response:
    row = retire_kind(visit().session, kind_id, None)
    flash(f"{row.name} is offered again.")
    return see_other(url_for("office.kinds"))


def floats_for(row: KindRow) -> float:
    """Median hours with helium in the shop, untreated and full; 0 when it does not rise."""
    if row.air_only:
        return 0.0
    shop, made = visit().shop, row.kind()
    filling = Filling(made, Gas.HELIUM, made.full_litres, shop.air)
    in_shop = spending(filling, shop.air, Surroundings.INDOORS, shop.habits)
    return endurance(filling, shop.habits).hours_at(in_shop)


def _told_hours(row: KindRow) -> str:
    if row.air_only:
        return "air only"
    hours = floats_for(row)
    return visit().formats.hours(hours) if hours else "does not float"


def _blank(material: str) -> dict[str, str]:
    chosen = material if material in {*Material} else Material.LATEX
    plainest = {"shape": "round", "gas": "both", "size_factor": "1", "pack_size": "1", "pack_cost": plain(0)}
    return plainest | {"material": chosen}


def _texts_of(row: KindRow) -> dict[str, str]:
    figures = ("nominal_in", "rated_in", "mass_g", "helium_l", "median_hours", "size_factor", "pack_size")
    return {
        **{name: getattr(row, name) for name in ("name", "material", "shape")},
        "gas": "air" if row.air_only else "both",
        **{name: f"{value:g}" if (value := getattr(row, name)) is not None else "" for name in figures},
        **{field: plain(getattr(row, name)) for name, field in MONEY.items()},
    }


def _read(texts: Mapping[str, str]) -> KindFigures:
    """Raises Refused."""
    typed = Typed(texts, visit().formats.decimals)
    figures = KindFigures(
        name=typed.text("name"),
        material=typed.one_of("material", [*Material]),
        shape=typed.one_of("shape", SHAPES),
        nominal_in=typed.number("nominal_in", 1, 100, "in"),
        rated_in=typed.number_or_none("rated_in", 1, 100, "in"),
        mass_g=typed.number("mass_g", 0.1, 1000, "g"),
        helium_l=typed.number_or_none("helium_l", 0.01, 5000, "L"),
        median_hours=typed.number_or_none("median_hours", 0.01, 5000, "h"),
        size_factor=typed.number("size_factor", 0.1, 5),
        air_only=typed.one_of("gas", GASES) == "air",
        price_minor=typed.money("price"),
        fill_minor=typed.money_or_none("fill"),
        top_up_minor=typed.money_or_none("top_up"),
        pack_size=typed.whole("pack_size", 1, 100_000, "In a pack"),
        pack_minor=typed.money("pack_cost"),
    )
    typed.check()
    return figures


def _kind_page(texts: Mapping[str, str], row: KindRow | None = None, refused: Refused | None = None) -> Response:
    is_latex = texts["material"] == Material.LATEX
    return page(
        "office/kind.html",
        refused,
        texts=texts,
        row=row,
        problems=problems_by_field(refused, MONEY | {"air_only": "gas"}),
        is_latex=is_latex,
        takes_services=not is_latex and texts["gas"] != "air",
        held=material_is_held(visit().session, row) if row else None,
        materials=HEADINGS,
        shapes=SHAPES,
        gases=GASES,
        floats=_told_hours(row) if row else "",
    )
