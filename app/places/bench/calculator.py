"""Bench: a build calculator that needs no order."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Blueprint, Response, make_response, render_template, request

from app.craft.build import Construction
from app.craft.weights import TooMuchWater, heaviest_water_weight, water_weight_for
from app.places.bench.calculator_fills import ShownFills, show_fills
from app.places.bench.calculator_form import (
    CONSTRUCTION_NAMES,
    CalculatorForm,
    bouquet_balloon_of,
    calculator_form,
    place_of,
)
from app.quoting.build_sheets.line_sheet import make_line_sheet
from app.quoting.build_sheets.weights import small_latex
from app.web.drawings.build_sheet import ShownSheet, show_sheet
from app.web.requests import request_context

WATER_GRAMS = (25, 50, 75, 100, 150, 200, 300, 500, 1000)


@dataclass(frozen=True, slots=True)
class WaterRow:
    """A row of the table of water weights: the size of one balloon with so many grams of water, for each balloon
    type."""

    grams: int
    sizes: tuple[str, ...]


def register(bench: Blueprint) -> None:
    """Registers the page of the calculator."""
    bench.get("/bench/calculator")(calculator)


def calculator() -> Response:
    """Shows the build calculator; nothing is saved. It has a build sheet once something was entered: an address
    that names a construction only leads to its fields."""
    here = request_context()
    form = calculator_form(request.args, here.shop, here.catalogue)
    is_entered = bool(set(request.args) - {form.construction.name})
    is_valid = not is_entered or form.validate()
    typed = _typed_sheet(form) if is_entered and is_valid else None
    page = render_template(
        "bench/calculator.html",
        form=form,
        forms=CONSTRUCTION_NAMES,
        constructions=Construction,
        is_entered=is_entered,
        sheet=typed.sheet if typed else None,
        fills=typed.fills if typed else (),
        water_balloon_types=_water_balloon_types(),
        water=_water_rows(),
    )
    return make_response(page, 200 if is_valid else 422)


@dataclass(frozen=True, slots=True)
class TypedSheet:
    """A build sheet with how the balloons of one piece are filled."""

    sheet: ShownSheet
    fills: Sequence[ShownFills]


def _typed_sheet(form: CalculatorForm) -> TypedSheet | None:
    """Returns the build sheet for what was typed; None if it cannot be made yet."""
    here = request_context()
    place = place_of(form, here.shop)
    piece = bouquet_balloon_of(form, place, here.shop, here.catalogue)
    made = make_line_sheet(piece, place, here.shop, here.catalogue)
    if made is None:
        return None
    return TypedSheet(show_sheet(made, here.formats), show_fills(piece, here.formats))


def _water_balloon_types() -> list[tuple[str, float]]:
    """Returns the names of the balloon types that can be filled with water, and the most grams that each takes."""
    here = request_context()
    return [
        (balloon_type.name, heaviest_water_weight(balloon_type.nominal_in, here.shop.craft.water).grams)
        for balloon_type in small_latex(here.catalogue)
    ]


def _water_rows() -> list[WaterRow]:
    """Returns the rows of the table of water weights."""
    balloon_types = small_latex(request_context().catalogue)
    return [
        WaterRow(grams, tuple(_water_size(grams, balloon_type.nominal_in) for balloon_type in balloon_types))
        for grams in WATER_GRAMS
    ]


def _water_size(grams: int, nominal_in: float) -> str:
    """Returns the size, in words, of a balloon with so many grams of water."""
    here = request_context()
    try:
        return here.formats.size(round(water_weight_for(grams, nominal_in, here.shop.craft.water).diameter_in, 2))
    except TooMuchWater:
        return "–"
