"""The picture of a piece against its drawing, its fills on grey paper, and its words."""

import re
from dataclasses import replace
from itertools import combinations

import pytest

from app.actions.records.shop import load_shop
from app.craft.assembly import column_steps
from app.craft.bagging import Bag, Bagging
from app.craft.bouquet import Cut
from app.craft.cluster_drawings import draw_column
from app.craft.clusters import Column, Pattern
from app.craft.drawing import Ball, Drawing, DrawingNote, Stroke
from app.craft.drawing import Path as Line
from app.craft.weights import WaterWeight
from app.quoting.build_sheets.line_sheet import LineSheet
from app.quoting.build_sheets.sheet import RequiredWeight
from app.quoting.build_sheets.weights import Water
from app.web.drawings.balloon_looks import TONES, PieceColours, luminance, tone_class
from app.web.drawings.build_sheet import AT_EACH_END, show_sheet
from app.web.drawings.picture import MARGIN, ROOM, picture_of
from app.web.drawings.swatches import FILLS, Finish
from app.web.formats import Formats
from tests.numbers_in import numbers_in
from tests.web.stylesheets import HOUSE, STYLESHEETS

CSS = STYLESHEETS["sheet.css"]
APART = 10.0
"""Steps of lightness, of a hundred, that two fills keep between them."""


@pytest.fixture
def formats(session):
    return Formats.of(load_shop(session))


def test_up_in_the_drawing_is_up_in_the_picture():
    drawing = Drawing("Two.", (Ball(0, 10, 10), Ball(0, 90, 10)), (Line(((0, 0), (0, 80)), Stroke.POLE),))
    low, high = picture_of(drawing).circles
    assert high.y < low.y
    assert high.radius == low.radius


@pytest.mark.parametrize(
    "drawing", [draw_column(Column(10, 9.0)), Drawing("Wide.", (Ball(0, 0, 1), Ball(300, 0, 1)))]
)
def test_all_of_it_lies_within_the_picture_and_keeps_its_shape(drawing):
    picture = picture_of(drawing)
    for circle in picture.circles:
        assert circle.x - circle.radius >= MARGIN - 0.2
        assert circle.x + circle.radius <= picture.width - MARGIN + 0.2
        assert circle.y - circle.radius >= MARGIN - 0.2
        assert circle.y + circle.radius <= picture.height - MARGIN + 0.2
    left, bottom, right, top = drawing.bounds
    shape = (picture.width - 2 * MARGIN) / (picture.height - 2 * MARGIN)
    assert shape == pytest.approx((right - left) / (top - bottom), rel=0.05)
    assert picture.width <= ROOM[0] + 2 * MARGIN
    assert picture.height <= ROOM[1] + 2 * MARGIN


def test_a_note_finds_room_at_the_edge():
    picture = picture_of(Drawing("Held.", (Ball(0, 100, 20),), (), (DrawingNote(20, 4, "1234 g"),)))
    assert picture.width > picture.words[0].x + 6 * 7


def test_a_closed_path_is_closed_and_has_its_stroke():
    (stroke,) = picture_of(Drawing("", (), (Line(((0, 0), (10, 0), (5, 5)), Stroke.LINE, closed=True),))).strokes
    assert stroke.css_class == "sheet-line"
    assert re.fullmatch(r"M[\d. ]+L[\d. ]+L[\d. ]+Z", stroke.path_data)


def test_each_unknown_colour_has_a_tone_and_a_further_one_begins_again():
    assert all(f".{tone_class(index)} {{ fill: var(--tone-{index}); }}" in CSS for index in range(TONES))
    assert tone_class(TONES) == tone_class(0)


def test_a_balloon_has_the_colour_of_its_name_and_foil_one_of_its_own():
    colours = PieceColours(("teal", "copper", "Harbour mist"), ("silver",))
    balls = (
        *(Ball(30 * index, 0, 10, index) for index in range(3)),
        Ball(0, 30, 10, None, 0),
        Ball(0, 60, 10, None),
    )
    teal, copper, mist, star, other = (circle.look for circle in picture_of(Drawing("", balls), colours).circles)
    assert (teal.fill, teal.finish) == (FILLS["teal"], Finish.PLAIN)
    assert (copper.fill, copper.finish) == (FILLS["copper"], Finish.METALLIC)
    assert (mist.fill, mist.css_class) == ("", tone_class(2))
    assert (star.fill, star.is_film) == (FILLS["silver"], True)
    assert (other.fill, other.css_class) not in {(one.fill, one.css_class) for one in (teal, copper, mist, star)}


def _lightness(colour):
    """L* of CIE 1976 of an sRGB colour."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    light = sum(share * part for share, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
    return 116 * light ** (1 / 3) - 16 if light > 0.008856 else 903.3 * light


def test_the_tones_stay_apart_on_grey_paper():
    """Source: CIE 1976 lightness; that ten of its steps are told apart is common practice."""
    fills = [_lightness(fill) for fill in re.findall(r"--tone-\d: #([0-9a-f]{6});", HOUSE)]
    assert len(fills) == TONES
    assert min(abs(one - other) for one, other in combinations(fills, 2)) >= APART


def _facts(formats, **figures):
    return dict(show_sheet(LineSheet("Piece", 3, **figures), formats).facts)


def test_weights_are_told_in_grams_and_the_wind_in_metres_a_second(formats):
    told = _facts(formats, required_weight=RequiredWeight(120, 1340, 5.0, 120))
    indoors, outdoors = told.values()
    assert numbers_in(indoors) == [120]
    assert formats.grams(1340) in outdoors
    assert formats.wind(5.0) in outdoors
    at_ends = _facts(formats, required_weight=RequiredWeight(120, 1340, 5.0, 120, each_end=True))
    assert at_ends == {f"{label}{AT_EACH_END}": weight for label, weight in told.items()}


@pytest.mark.parametrize(
    ("water", "expected"),
    [
        (Water("5 in latex", 1, WaterWeight(2.5, 133.7)), ("2.5 in", "134 g")),
        (Water("12 in latex", 2, WaterWeight(7.0, 2938.0)), ("7 in", "2,938 g")),
    ],
)
def test_water_is_told_with_its_size(formats, water, expected):
    (told,) = _facts(formats, water=water).values()
    assert all(one in told for one in (*expected, water.balloon_type_name))
    assert told.startswith(f"{water.count} ×") is (water.count > 1)


@pytest.mark.parametrize(
    ("pieces_by_bag", "numbers"),
    [((3,), [1, 3]), ((2, 2), [2, 2]), ((3, 2, 2), [3, 1, 3, 2, 2])],
)
def test_bags_are_told_with_what_goes_into_each(formats, pieces_by_bag, numbers):
    told = _facts(formats, bagging=Bagging(Bag("bag", 120, 168), pieces_by_bag))["Bags"]
    assert numbers_in(told) == numbers
    assert "bag" in told


def test_the_cut_list_is_told_for_one_and_for_all(formats):
    shown = show_sheet(LineSheet("Piece", 3, cuts=(Cut(134, 3), Cut(110, 1))), formats)
    in_metres = replace(formats, in_metres=not formats.imperial)
    assert [(cut.length, cut.of_one, cut.of_all) for cut in shown.cuts] == [
        (in_metres.length(134), 3, 9),
        (in_metres.length(110), 1, 3),
    ]
    assert shown.cut_total == (formats.length(512), formats.length(1536))


def test_a_sheet_whose_lengths_are_all_short_has_them_in_centimetres(formats):
    shown = show_sheet(LineSheet("Piece", 1, cuts=(Cut(80, 1), Cut(70, 1))), formats)
    assert [cut.length for cut in shown.cuts] == [formats.length(80), formats.length(70)]


def test_a_piece_that_sinks_says_so_with_a_minus(formats):
    assert _facts(formats, lift_g=-2.14)["Net lift"] == f"−{formats.number(2.1, 1)} g"


def test_a_dark_balloon_has_a_bright_edge_and_a_bright_one_a_dark_edge():
    """Relative luminance of WCAG 2.2: white 1, black 0, and 0.2159 for the grey that is half of white in sRGB."""
    assert (luminance("#ffffff"), luminance("#000000")) == (pytest.approx(1.0), 0.0)
    assert luminance("#808080") == pytest.approx(0.2159, abs=1e-4)
    colours = PieceColours(("white", "black", "navy", "yellow"))
    drawn = picture_of(Drawing("", tuple(Ball(30 * index, 0, 10, index) for index in range(4))), colours)
    edges = [one.look.css_class.split()[-1] for one in drawn.circles]
    assert edges == ["ball-bright", "ball-dark", "ball-dark", "ball-bright"]
    assert all(f".{edge} " in CSS or f".{edge}," in CSS for edge in set(edges))


def test_each_step_has_its_picture_and_all_but_details_have_one_scale(formats):
    column = Column(10, 9.0)
    steps = column_steps(column, 2, Pattern.SPIRAL)
    shown = show_sheet(
        LineSheet("Piece", 1, drawing=draw_column(column, 2), colours=("red", "white"), steps=steps), formats
    )
    assert [one.step.act for one in shown.steps] == [step.act for step in steps]
    pictures = [one.picture for one in shown.steps]
    assert all(pictures)
    pair, whole = pictures[0], pictures[2:]
    assert len({circle.radius for picture in whole for circle in picture.circles}) == 1
    assert pair.circles[0].radius > whole[0].circles[0].radius
    first, stacked = whole[:2]
    assert [circle.is_new for circle in first.circles] == [True] * len(first.circles)
    assert {circle.is_new for circle in stacked.circles} == {True, False}
