"""Office: weights, ribbon, plush, bags, treatment, modelling balloons, hired goods; a page for each."""

from collections.abc import Mapping

from flask import Blueprint, flash, render_template, request, url_for
from flask.wrappers import Response

from app.actions.catalogue.supplies import (
    SupplyFigures,
    add_supply,
    archive_supply,
    change_supply,
    load_supply,
    unit_is_held,
)
from app.places.office.record_page import page, plain, problems_by_field
from app.quoting.errors import Problem, Refused
from app.quoting.states import SupplySort, SupplyUnit
from app.store.models import SupplyRow
from app.store.queries.supplies import all_supplies
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.typed import Typed

HEADINGS = {
    SupplySort.WEIGHT: "Weights",
    SupplySort.RIBBON: "Ribbon",
    SupplySort.PLUSH: "Plush",
    SupplySort.BAG: "Bags",
    SupplySort.TREATMENT: "Treatment",
    SupplySort.MODELLING: "Modelling balloons",
    SupplySort.RENTAL: "Hired goods",
    SupplySort.OTHER: "Other",
}
UNITS = {SupplyUnit.PIECE: "pieces", SupplyUnit.METRE: "m", SupplyUnit.MILLILITRE: "mL"}
MONEY = {"price_minor": "price", "pack_minor": "pack_cost", "deposit_minor": "deposit"}
"""Names in the form of what is called otherwise in the store."""


def register(office: Blueprint) -> None:
    office.get("/supplies")(supplies)
    office.get("/supplies/new")(new_supply)
    office.post("/supplies/new")(save_new_supply)
    office.get("/supplies/<int:supply_id>")(supply)
    office.post("/supplies/<int:supply_id>")(save_supply)
    office.post("/supplies/<int:supply_id>/retire")(archive_this_supply)
    office.post("/supplies/<int:supply_id>/sell")(sell_supply_again)


def supplies() -> str:
    rows = all_supplies(request_context().session)
    return render_template(
        "office/supplies.html",
        groups={sort: [row for row in rows if row.sort == sort and not row.archived_at] for sort in HEADINGS},
        archived=[row for row in rows if row.archived_at],
        headings=HEADINGS,
        units=UNITS,
    )


def supply(supply_id: int) -> Response:
    row = load_supply(request_context().session, supply_id)
    return _supply_page(_texts_of(row), row)


def save_supply(supply_id: int) -> Response:
    here = request_context()
    row = load_supply(here.session, supply_id)
    texts = _texts_of(row) | request.form.to_dict() | {"sort": row.sort}
    try:
        row = change_supply(here.session, supply_id, _read(texts))
    except Refused as refused:
        return _supply_page(texts, row, refused)
    flash(f"{row.name} is kept.")
    return see_other(url_for("office.supplies"))


def new_supply() -> Response:
    """Its sort first, since what is asked depends on it."""
    sort = request.args.get("sort", "")
    return _supply_page(_blank(sort) if sort in {*SupplySort} else {})


def save_new_supply() -> Response:
    sort = request.form.get("sort", "")
    if sort not in {*SupplySort}:
        return _supply_page({}, refused=Refused(Problem("sort", "What is it? One of these, please.")))
    texts = _blank(sort) | request.form.to_dict()
    try:
        row = add_supply(request_context().session, _read(texts))
    except Refused as refused:
        return _supply_page(texts, refused=refused)
    flash(f"{row.name} is kept.")
    return see_other(url_for("office.supplies"))


def archive_this_supply(supply_id: int) -> Response:
    row = archive_supply(request_context().session, supply_id, request_context().now)
    flash(f"{row.name} is no longer offered. Orders and designs that have it keep it.")
    return see_other(url_for("office.supplies"))


def sell_supply_again(supply_id: int) -> Response:
    row = archive_supply(request_context().session, supply_id, None)
    flash(f"{row.name} is offered again.")
    return see_other(url_for("office.supplies"))


def _blank(sort: str) -> dict[str, str]:
    return {
        "sort": sort,
        "unit": SupplySort(sort).unit,
        "pack_size": "1",
        "pack_cost": plain(0),
        "deposit": plain(0),
    }


def _texts_of(row: SupplyRow) -> dict[str, str]:
    figures = ("pack_size", "grams", "width_cm")
    return {
        **{name: getattr(row, name) for name in ("name", "sort", "unit")},
        **{name: f"{value:g}" if (value := getattr(row, name)) is not None else "" for name in figures},
        **{field: plain(getattr(row, name)) for name, field in MONEY.items()},
    }


def _read(texts: Mapping[str, str]) -> SupplyFigures:
    """Raises Refused."""
    typed, sort = Typed(texts, request_context().formats.decimals), SupplySort(texts["sort"])
    figures = SupplyFigures(
        name=typed.text("name"),
        sort=sort,
        unit=SupplyUnit(typed.one_of("unit", [*SupplyUnit]) or sort.unit),
        pack_size=typed.number("pack_size", 0.01, 100_000),
        pack_minor=typed.money("pack_cost"),
        price_minor=typed.money_or_none("price"),
        grams=typed.number("grams", 0.01, 50_000, "g") if sort.weighs else None,
        width_cm=typed.number("width_cm", 0.5, 500, "cm") if sort.has_width else None,
        deposit_minor=typed.money("deposit") if sort is SupplySort.RENTAL else 0,
    )
    typed.check()
    return figures


def _supply_page(
    texts: Mapping[str, str], row: SupplyRow | None = None, refused: Refused | None = None
) -> Response:
    return page(
        "office/supply.html",
        refused,
        texts=texts,
        row=row,
        sort=SupplySort(texts["sort"]) if texts else None,
        problems=problems_by_field(refused, MONEY),
        held=unit_is_held(request_context().session, row) if row and row.sort == SupplySort.OTHER else None,
        headings=HEADINGS,
        units=UNITS,
    )
