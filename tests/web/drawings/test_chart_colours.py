"""The colours of the charts against their ground, and beside each other for people who see fewer colours.

Sources: the contrast ratio of W3C, Web Content Accessibility Guidelines 2.2, “relative luminance” and success
criteria 1.4.3 (words, 4.5) and 1.4.11 (graphics, 3); the matrices of G. M. Machado, M. M. Oliveira and L. A. F.
Fernandes, A physiologically-based model for simulation of color vision deficiency, IEEE Transactions on
Visualization and Computer Graphics 15 (2009), severity 1.0, on linear RGB; the difference of colours of 1976 in CIE
L*a*b* for D65, of which some 2.3 can just be seen.
"""

import re
from itertools import combinations, pairwise
from pathlib import Path

import pytest

STATIC = Path(__file__).parents[3] / "static"
LOOKS = ("light", "dark")
GRAPHIC, WORDS = 3.0, 4.5
TOLD_APART = 15.0
"""More than six times what can just be seen. Chosen, no source."""
MACHADO = {
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
    "none": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
}
TO_XYZ = ((0.4124564, 0.3575761, 0.1804375), (0.2126729, 0.7151522, 0.0721750), (0.0193339, 0.1191920, 0.9503041))
WHITE = (0.95047, 1.0, 1.08883)


def _tokens():
    """The colours of the house by name: light, dark."""
    found = re.findall(r"--([\w-]+): light-dark\((#\w{6}), (#\w{6})\)", (STATIC / "house.css").read_text())
    return {name: dict(zip(LOOKS, pair, strict=True)) for name, *pair in found}


TOKENS = _tokens()


def _fill(selector):
    """The name of the colour with which the stylesheet of the review fills what the selector finds."""
    rule = re.search(rf"^{re.escape(selector)} {{ (.*?) }}", (STATIC / "review.css").read_text(), re.MULTILINE)
    return re.search(r"(?:fill|stroke): var\(--([\w-]+)\)", rule[1])[1]


def _linear(colour):
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    return [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]


def _times(matrix, column):
    return [sum(one * other for one, other in zip(row, column, strict=True)) for row in matrix]


def _luminance(colour):
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), _linear(colour), strict=True))


def _contrast(one, other):
    low, high = sorted((_luminance(one), _luminance(other)))
    return (high + 0.05) / (low + 0.05)


def _lab(linear):
    shares = [part / white for part, white in zip(_times(TO_XYZ, linear), WHITE, strict=True)]
    x, y, z = (
        share ** (1 / 3) if share > (6 / 29) ** 3 else share * (29 / 6) ** 2 / 3 + 4 / 29 for share in shares
    )
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _seen(colour, sight):
    """The colour as it is seen, in L*a*b*."""
    return _lab([min(max(part, 0.0), 1.0) for part in _times(MACHADO[sight], _linear(colour))])


def _difference(one, other, sight):
    pairs = zip(_seen(one, sight), _seen(other, sight), strict=True)
    return sum((a - b) ** 2 for a, b in pairs) ** 0.5


def test_the_formulas_give_what_their_sources_give():
    """Black on white is 21:1, and #767676 on white the lightest grey of 4.5:1; white is L* 100; pure red and green,
    which nobody mistakes, come near each other for those who have no cones for green."""
    assert _contrast("#000000", "#ffffff") == pytest.approx(21)
    assert _contrast("#767676", "#ffffff") >= WORDS > _contrast("#777777", "#ffffff")
    assert _lab([1.0, 1.0, 1.0]) == pytest.approx((100, 0, 0), abs=0.02)
    assert _difference("#ff0000", "#00ff00", "none") == pytest.approx(170.6, abs=0.5)
    assert _difference("#ff0000", "#00ff00", "deuteranopia") < 0.6 * _difference("#ff0000", "#00ff00", "none")


BARS = (".chart-bar-0:not([fill])", ".chart-stripe", ".chart-bad", ".chart-limit", ".chart-reach")


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("ground", ["surface", "page"])
@pytest.mark.parametrize("selector", BARS)
def test_each_bar_and_line_stands_out_from_its_ground(selector, ground, look):
    assert _contrast(TOKENS[_fill(selector)][look], TOKENS[ground][look]) >= GRAPHIC


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("sight", MACHADO)
def test_what_bars_mean_is_told_apart_in_every_sight(sight, look):
    colours = [TOKENS[_fill(selector)][look] for selector in BARS[:3]]
    for one, other in combinations(colours, 2):
        assert _difference(one, other, sight) > TOLD_APART


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("sight", MACHADO)
def test_a_deeper_hour_is_told_from_the_one_before_in_every_sight(sight, look):
    depths = [TOKENS[_fill(f".heat-{depth}")][look] for depth in range(5)]
    steps = [_difference(one, other, sight) for one, other in pairwise(depths)]
    assert min(steps) > 5
    brightness = [_seen(colour, sight)[0] for colour in depths]
    assert brightness in (sorted(brightness), sorted(brightness, reverse=True))


@pytest.mark.parametrize("look", LOOKS)
def test_the_number_of_each_hour_can_be_read(look):
    for depth in range(5):
        words = "on-heat" if depth >= 3 else "text"
        assert _contrast(TOKENS[words][look], TOKENS[f"heat-{depth}" if depth else "page"][look]) >= WORDS
