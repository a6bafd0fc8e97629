"""Bench: how the pieces of a ticket are put together, and a page to try one without an order."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Blueprint, Response, make_response, render_template, request

from app.actions.bench.build_sheets import crafted_lines, is_crafted
from app.actions.records.shop import load_materials
from app.actions.records.sold_rows import read_parts
from app.craft.build import FIGURES, Form
from app.craft.water import TooMuchWater, heaviest, weight_of
from app.physics.balloon import Gas
from app.places.bench.calculator_form import FORM_WORDS, CraftForm, read_form
from app.quoting.build_sheets.line_sheet import craft as put_together
from app.quoting.build_sheets.weights import small_latex
from app.quoting.parts import BatchOf
from app.store.models import Order, Photo
from app.store.queries.bench import BatchRow
from app.store.queries.build_sheets import order_to_craft
from app.store.queries.photos import first_photos
from app.web.drawings.build_sheet import ShownCraft, show_craft
from app.web.requests import visit

WATER_GRAMS = (25, 50, 75, 100, 150, 200, 300, 500, 1000)


@dataclass(frozen=True, slots=True)
class WaterRow:
    grams: int
    sizes: tuple[str, ...]


def add_to(bench: Blueprint) -> None:
    bench.get("/bench/craft")(craft)


@dataclass(frozen=True, slots=True)
class PutTogether:
    """Of a batch's balloons. pictured: titles and first photos of the designs that they go into."""

    crafts: Sequence[ShownCraft] = ()
    pictured: Sequence[tuple[str, Photo]] = ()


def put_together_of(row: BatchRow) -> PutTogether:
    here = visit()
    order = order_to_craft(here.session, row.order_number)
    if order is None:
        return PutTogether()
    batch = BatchOf(row.kind_id, Gas(row.gas), row.treated, row.later)
    pictured = _pictured(order, batch)
    if not is_crafted(order):
        return PutTogether((), pictured)
    lines = crafted_lines(order, here.shop, load_materials(here.session), batch)
    return PutTogether([show_craft(one.crafted, here.formats) for one in lines], pictured)


def _pictured(order: Order, batch: BatchOf) -> list[tuple[str, Photo]]:
    lines = [line for line in order.lines if line.design_id and batch in read_parts(line.parts)]
    titles = {line.design_id: line.title for line in lines if line.design_id}
    photos = first_photos(visit().session, titles) if titles else {}
    return [(title, photos[design_id]) for design_id, title in titles.items() if design_id in photos]


def craft() -> Response:
    """Nothing is kept."""
    here = visit()
    form = read_form(request.args, here.shop, here.goods)
    page = render_template(
        "bench/craft.html",
        form=form,
        forms=FORM_WORDS,
        figures=FIGURES.get(form.form, ()),
        asks=Form,
        made=_made(form),
        water_kinds=_water_kinds(),
        water=_water_rows(),
    )
    return make_response(page, 422 if form.problems else 200)


def _made(form: CraftForm) -> ShownCraft | None:
    here = visit()
    if form.problems or form.making is None or form.scene is None:
        return None
    made = put_together(form.making, form.scene, here.shop, here.goods)
    return show_craft(made, here.formats) if made else None


def _water_kinds() -> list[tuple[str, float]]:
    """Names, and the most grams that each takes."""
    here = visit()
    return [(kind.name, heaviest(kind.nominal_in, here.shop.craft.water).grams) for kind in small_latex(here.goods)]


def _water_rows() -> list[WaterRow]:
    kinds = small_latex(visit().goods)
    return [WaterRow(grams, tuple(_water_size(grams, kind.nominal_in) for kind in kinds)) for grams in WATER_GRAMS]


def _water_size(grams: int, nominal_in: float) -> str:
    here = visit()
    try:
        return here.formats.size(round(weight_of(grams, nominal_in, here.shop.craft.water).diameter_in, 2))
    except TooMuchWater:
        return "–"
