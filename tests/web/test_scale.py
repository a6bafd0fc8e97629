"""One scale of type and one of space: what the house's stylesheet says of a page is said in their steps."""

import re
from pathlib import Path

HOUSE = (Path(__file__).resolve().parents[2] / "static" / "house.css").read_text(encoding="utf-8")
ROOT, _, RULES = HOUSE.partition("\n}\n")
PAGES_OF_THEIR_OWN = re.compile(r"answer|batch|sheet|tap-some")
"""Rules of counter, bench and ticket, whose pages have stylesheets of their own."""
WITHOUT_A_STEP = re.compile(r"var\(--size-|inherit|\d(?:em|pt)|12px")
"""Steps; what is relative to the words around it; what is printed in points; the words of a drawing."""


def _steps(name):
    found = re.findall(rf"^  --{name}-\w+: ([\d.]+)rem;", ROOT, re.MULTILINE)
    return [float(step) for step in found]


def test_the_steps_rise():
    for name, count in (("size", 8), ("space", 6)):
        steps = _steps(name)
        assert len(steps) >= count
        assert steps == sorted(set(steps))


def test_every_size_of_words_is_a_step():
    sizes = re.findall(r"^(.*?)\{.*?font-size: ([^;}]+)", RULES, re.MULTILINE)
    loose = [
        (rule.strip(), size)
        for rule, size in sizes
        if not PAGES_OF_THEIR_OWN.search(rule) and not WITHOUT_A_STEP.search(size)
    ]
    assert len(sizes) > 40
    assert loose == []


def test_numbers_stand_in_line_everywhere():
    assert "font-variant-numeric: tabular-nums" in ROOT
    assert "font-variant-numeric" not in RULES
