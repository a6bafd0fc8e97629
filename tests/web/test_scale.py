"""One scale of type and one of space: each size of words in a stylesheet is a step of the house's scale."""

import re

from tests.web.stylesheets import HOUSE, STYLESHEETS, rules_of

ROOT = HOUSE.partition("\n}\n")[0]
STEP = re.compile(r"var\((--size-[\w-]+)\)(?: !important)?|inherit")
GAP = re.compile(r"0|var\(--(?:space-\d|gap)\)")
BASE = "16px/1.45"
"""What a step is a multiple of; the one size that stands with the tokens."""


def _steps(name):
    found = re.findall(rf"^  --{name}-\w+: ([\d.]+)rem;", ROOT, re.MULTILINE)
    return [float(step) for step in found]


def _sizes_of_words(name):
    """The rules of a stylesheet that say how large words are, each with what it says."""
    for rule, said in rules_of(name):
        for setting in said:
            what, _, value = setting.partition(":")
            if what in ("font-size", "font") and not value.strip().startswith(BASE):
                yield rule, value.strip()


def test_the_steps_rise():
    for name, count in (("size", 10), ("space", 6)):
        steps = _steps(name)
        assert len(steps) >= count
        assert steps == sorted(set(steps))


def test_every_size_of_words_is_a_step():
    sizes = [(name, *size) for name in STYLESHEETS for size in _sizes_of_words(name)]
    assert len(sizes) > 120
    assert [size for size in sizes if not STEP.fullmatch(size[-1])] == []


def test_every_step_is_there_and_is_used():
    named = set(re.findall(r"^  (--size-[\w-]+):", ROOT, re.MULTILINE))
    used = re.findall(r"font-size: var\((--size-[\w-]+)\)", "".join(STYLESHEETS.values()))
    assert set(used) == named


def test_numbers_stand_in_line_everywhere():
    assert "font-variant-numeric: tabular-nums" in ROOT
    assert [text.count("font-variant-numeric") for text in STYLESHEETS.values()].count(0) == len(STYLESHEETS) - 1
    assert HOUSE.count("font-variant-numeric") == 1


def test_every_gap_is_a_step():
    gaps = [
        value
        for name in STYLESHEETS
        for _, said in rules_of(name)
        for what, _, values in (setting.partition(":") for setting in said)
        if what.endswith("gap")
        for value in values.split()
    ]
    assert len(gaps) > 150
    assert {value for value in gaps if not GAP.fullmatch(value)} == set()
