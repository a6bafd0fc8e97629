"""The steps of tickets and build sheets in words."""

import re
from zoneinfo import ZoneInfo

import pytest

from app.craft.fill_steps import FillAct, FillStep
from app.craft.piece_steps import PieceAct, PieceStep
from app.physics.balloon import Gas
from app.physics.material import Material
from app.web.formats import Formats
from app.web.wording.fill_steps import show_fill_steps
from app.web.wording.piece_steps import show_steps

FORMATS = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)
IMPERIAL = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2, imperial=True)


def _piece(act, formats=FORMATS, **numbers):
    (shown,) = show_steps([PieceStep(act, **numbers)], formats)
    return shown.text


def _fill(material, gas, *steps):
    return [shown.text for shown in show_fill_steps(steps, material, gas, FORMATS)]


@pytest.mark.parametrize("count", [0, 1, 2])
@pytest.mark.parametrize("act", PieceAct)
def test_each_act_of_a_piece_has_whole_sentences(act, count):
    said = _piece(act, count=count, cm=(134.0, 110.0), grams=120, name="Old oak.")
    assert re.fullmatch(r"[A-Z].*\.", said)
    assert not re.search(r"\b1 \w+s\b|\b[02] (pair|four|balloon|ribbon)\b", said)


@pytest.mark.parametrize("gas", Gas)
@pytest.mark.parametrize("material", Material)
@pytest.mark.parametrize("act", FillAct)
def test_each_act_of_filling_has_whole_sentences(act, material, gas):
    (said,) = _fill(material, gas, FillStep(act, count=3, size_in=11.0, minutes=120))
    assert re.fullmatch(r"[A-Z].*\.", said)


def test_latex_is_let_down_through_the_sizer():
    assert _fill(
        Material.LATEX, Gas.HELIUM, FillStep(FillAct.SET_SIZER, size_in=11), FillStep(FillAct.FILL_OVER)
    ) == [
        "Set the sizer to 11 in, the same for the whole batch.",
        "Fill each balloon with helium a little over that size. Use the latex tip.",
    ]


def test_foil_and_sphere_are_filled_by_look_and_never_sized():
    """The tip and the look of each: common practice, no source."""
    full, less = FillStep(FillAct.FILL_TAUT), FillStep(FillAct.FILL_TAUT, share=0.93)
    assert _fill(Material.FOIL, Gas.HELIUM, full, less) == [
        "Fill each balloon with helium until taut but soft under the thumb, small creases left at the seam. Use the"
        " low-pressure foil tip and no sizer.",
        "Fill each balloon with helium until taut but soft under the thumb, small creases left at the seam. Use the"
        " low-pressure foil tip and no sizer. Stop at about 93% of full.",
    ]
    assert _fill(Material.SPHERE, Gas.HELIUM, full) == [
        "Fill each balloon with helium until round and drum-tight, without creases. Use the latex tip at higher"
        " pressure and no sizer."
    ]


def test_one_weight_is_named_with_what_it_must_be():
    told = _piece(PieceAct.KNOT_WEIGHT, count=1, grams=121, name="1 × Weight 170 g")
    assert told == "Make one knot, with one weight for the whole piece: 1 × Weight 170 g, at least 121 g."
    assert _piece(PieceAct.KNOT_WEIGHT) == "Make one knot, with one weight for the whole piece."
    assert _piece(PieceAct.WEIGHT_EACH, count=24) == "Tie a weight to each of the 24 ribbons."


def test_lengths_are_in_the_shops_units():
    assert "134 cm and 110 cm" in _piece(PieceAct.LAYER, count=3, cm=(134.0, 110.0))
    assert " in" in _piece(PieceAct.LAYER, formats=IMPERIAL, count=3, cm=(134.0,))
