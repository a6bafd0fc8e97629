"""Office: balloon kinds as they are made, weighed, bought and priced; a page for each."""

from collections.abc import Mapping

from flask import Blueprint, flash, render_template, request, url_for
from flask.wrappers import Response

from app.actions.catalogue.balloon_types import (
    SHAPES,
    BalloonTypeFigures,
    add_balloon_type,
    archive_balloon_type,
    change_balloon_type,
    load_balloon_type,
    material_is_held,
)
from app.physics.balloon import BalloonType, Gas
from app.physics.endurance import Filling, Surroundings, endurance, spending
from app.physics.material import Material
from app.places.office.recalculated import replan
from app.places.office.record_page import page, plain, problems_by_field
from app.quoting.errors import Refused
from app.store.models import BalloonTypeRow
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.typed import Typed
from app.web.wording.materials import MATERIAL_WORDS

MONEY = {"price_minor": "price", "fill_minor": "fill", "top_up_minor": "top_up", "pack_minor": "pack_cost"}
"""Names in the form of what is called otherwise in the store."""
GASES = {"both": "helium or air", "air": "air only"}


def register(office: Blueprint) -> None:
    office.get("/balloon-types")(balloon_types)
    office.get("/balloon-types/new")(new_balloon_type)
    office.post("/balloon-types/new")(save_new_balloon_type)
    office.get("/balloon-types/<int:balloon_type_id>")(balloon_type)
    office.post("/balloon-types/<int:balloon_type_id>")(save_balloon_type)
    office.post("/balloon-types/<int:balloon_type_id>/retire")(archive_this_balloon_type)
    office.post("/balloon-types/<int:balloon_type_id>/sell")(sell_balloon_type_again)


def balloon_types() -> str:
    rows = sorted(request_context().catalogue.balloon_types.values(), key=lambda row: (row.nominal_in, row.name))
    groups = {
        words.heading: [
            (row, _told_hours(row.balloon_type)) for row in rows if row.material is material and not row.archived_at
        ]
        for material, words in MATERIAL_WORDS.items()
    }
    return render_template(
        "office/balloon_types.html", groups=groups, archived=[row for row in rows if row.archived_at]
    )


def balloon_type(balloon_type_id: int) -> Response:
    row = load_balloon_type(request_context().session, balloon_type_id)
    return _kind_page(_texts_of(row), row)


def save_balloon_type(balloon_type_id: int) -> Response:
    here = request_context()
    row = load_balloon_type(here.session, balloon_type_id)
    texts = _texts_of(row) | request.form.to_dict()
    try:
        row = change_balloon_type(here.session, balloon_type_id, _read(texts))
    except Refused as refused:
        return _kind_page(texts, row, refused)
    replan(f"{row.name} is kept.")
    return see_other(url_for("office.balloon_types"))


def new_balloon_type() -> Response:
    """Of the first material until another is chosen, which changes what is asked."""
    return _kind_page(_blank(request.args.get("material", "")))


def save_new_balloon_type() -> Response:
    texts = _blank("") | request.form.to_dict()
    try:
        row = add_balloon_type(request_context().session, _read(texts))
    except Refused as refused:
        return _kind_page(texts, refused=refused)
    flash(f"{row.name} is kept, and offered from now on.")
    return see_other(url_for("office.balloon_types"))


def archive_this_balloon_type(balloon_type_id: int) -> Response:
    row = archive_balloon_type(request_context().session, balloon_type_id, request_context().now)
    flash(f"{row.name} is no longer offered. Orders and designs that have it keep it.")
    return see_other(url_for("office.balloon_types"))


def sell_balloon_type_again(balloon_type_id: int) -> Response:
    row = archive_balloon_type(request_context().session, balloon_type_id, None)
    flash(f"{row.name} is offered again.")
    return see_other(url_for("office.balloon_types"))


def floats_for(balloon_type: BalloonType) -> float:
    """Median hours with helium in the shop, untreated and full; 0 when it does not rise."""
    if balloon_type.air_only:
        return 0.0
    shop = request_context().shop
    filling = Filling(balloon_type, Gas.HELIUM, balloon_type.full_litres, shop.air)
    in_shop = spending(filling, shop.air, Surroundings.INDOORS, shop.float_defaults)
    return endurance(filling, shop.float_defaults).hours_at(in_shop)


def _told_hours(balloon_type: BalloonType) -> str:
    if balloon_type.air_only:
        return "air only"
    hours = floats_for(balloon_type)
    return request_context().formats.hours(hours) if hours else "does not float"


def _blank(material: str) -> dict[str, str]:
    chosen = material if material in {*Material} else next(iter(Material))
    plainest = {"shape": "round", "gas": "both", "size_factor": "1", "pack_size": "1", "pack_cost": plain(0)}
    return plainest | {"material": chosen}


def _texts_of(row: BalloonTypeRow) -> dict[str, str]:
    figures = ("nominal_in", "rated_in", "mass_g", "helium_l", "median_hours", "size_factor", "pack_size")
    return {
        **{name: getattr(row, name) for name in ("name", "material", "shape")},
        "gas": "air" if row.air_only else "both",
        **{name: f"{value:g}" if (value := getattr(row, name)) is not None else "" for name in figures},
        **{field: plain(getattr(row, name)) for name, field in MONEY.items()},
    }


def _read(texts: Mapping[str, str]) -> BalloonTypeFigures:
    """Raises Refused."""
    typed = Typed(texts, request_context().formats.decimals)
    figures = BalloonTypeFigures(
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


def _kind_page(
    texts: Mapping[str, str], row: BalloonTypeRow | None = None, refused: Refused | None = None
) -> Response:
    traits = Material(_blank(texts["material"])["material"]).traits
    floats = texts["gas"] != "air"
    return page(
        "office/balloon_type.html",
        refused,
        texts=texts,
        row=row,
        problems=problems_by_field(refused, MONEY | {"air_only": "gas"}),
        measures=traits.measures,
        takes_own=traits.takes_own and floats,
        can_be_topped_up=traits.can_be_topped_up and floats,
        held=material_is_held(request_context().session, row) if row else None,
        materials={material: words.heading for material, words in MATERIAL_WORDS.items()},
        shapes=SHAPES,
        gases=GASES,
        floats=_told_hours(row.balloon_type) if row else "",
    )
