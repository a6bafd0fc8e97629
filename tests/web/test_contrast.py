"""The colours of the house can be told apart, light and dark.

Source of the formula and of the limits: WCAG 2.2, relative luminance, and success criteria 1.4.3 and 1.4.11.
"""

import re
from itertools import product

import pytest

from tests.web.stylesheets import HOUSE, STYLESHEETS, rules_of

TEXT, SHAPE = 4.5, 3.0
LOOKS = {"light": 0, "dark": 1}
WORDS = [
    *product(("text", "text-soft"), ("page", "surface", "field", "raised")),
    *product(("action", "good", "warning", "bad"), ("page", "surface", "field")),
    *product(
        ("text", "text-soft"),
        ("action-tint", "good-tint", "warning-tint", "bad-tint", "treated-tint", "event"),
    ),
    ("text", "mark"),
    *((of, f"{of}-tint") for of in ("action", "good", "warning", "bad", "treated")),
    *product(("on-action",), ("action", "bad")),
]
"""What is written in the first stands on the second."""
SHAPES = [
    *product(("line-strong", "balloon", "action"), ("page", "surface", "field")),
    *product(("good", "warning", "bad", "action", "text-soft"), ("surface", "page")),
    *product(("on-state",), ("good", "warning", "bad", "action", "text-soft", "text")),
]
"""Borders of fields, the focus, signs and their marks, the strip."""
LITERAL = re.compile(r"#[0-9a-f]{3,8}\b|\b(?:rgb|hsl|hwb|lab|lch|oklab|oklch|light-dark)a?\(|\b(?:white|black)\b")
"""A colour that is no token."""


def _tokens():
    """The colours of each token, light and dark."""
    found = re.findall(r"^  --([\w-]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\);", HOUSE, re.MULTILINE)
    return {name: both for name, *both in found}


def luminance(colour):
    """How light a colour is, from 0 (black) to 1 (white)."""
    shares = (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
    linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
    return sum(weight * share for weight, share in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one, other):
    """The contrast of two colours, from 1 to 21."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#777777", "#ffffff", 4.478),
        ("#ff0000", "#ffffff", 3.998),
        ("#123456", "#123456", 1),
    ],
)
def test_the_formula_gives_the_known_ratios(one, other, ratio):
    assert contrast(one, other) == pytest.approx(ratio, abs=0.001)


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize(("pairs", "least"), [(WORDS, TEXT), (SHAPES, SHAPE)], ids=["words", "shapes"])
def test_what_stands_on_a_colour_can_be_seen(look, pairs, least):
    tokens = _tokens()
    ratios = {(on, under): contrast(tokens[on][LOOKS[look]], tokens[under][LOOKS[look]]) for on, under in pairs}
    assert {pair: round(ratio, 2) for pair, ratio in ratios.items() if ratio < least} == {}


def _tokens_set(said, *names):
    """The token that the rule sets one of these to, or None."""
    found = (re.fullmatch(r"([\w-]+): var\(--([\w-]+)\)", setting) for setting in said)
    return next((token for what, token in (one.groups() for one in found if one) if what in names), None)


def _words_on_colours():
    """Each colour of words with the colour that the same rule puts under it."""
    for name in STYLESHEETS:
        for rule, said in rules_of(name):
            pair = (_tokens_set(said, "color"), _tokens_set(said, "background"))
            if None not in pair:
                yield pair, f"{name}: {rule}"


@pytest.mark.parametrize("look", LOOKS)
def test_what_a_field_shows_while_it_is_empty_can_be_read(look):
    """The browser's own colour for it is too faint on a dark field."""
    (said,) = [said for rule, said in rules_of("house.css") if rule == "::placeholder"]
    words = _tokens_set(said, "color")
    tokens = _tokens()
    assert "opacity: 1" in said
    assert contrast(tokens[words][LOOKS[look]], tokens["field"][LOOKS[look]]) >= TEXT


def test_what_a_rule_writes_on_a_colour_is_among_the_pairs():
    written = dict(_words_on_colours())
    assert len(written) > 8
    assert {pair: where for pair, where in written.items() if pair not in WORDS} == {}


@pytest.mark.parametrize("name", STYLESHEETS)
def test_every_colour_is_a_token(name):
    """Which the house's stylesheet alone names, at its top."""
    loose = [
        (rule, setting)
        for rule, said in rules_of(name)
        for setting in said
        if LITERAL.search(setting.partition(":")[2]) and (name, rule) != ("house.css", ":root")
    ]
    assert loose == []
