"""What DEVELOPERS.md promises: each place that it names is there, its examples run, its sentences are short."""

import ast
import doctest
import re
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PLACES = sorted(set(re.findall(r"`((?:app|tests|migrations|static)/[\w./]*)(?::(\w+))?`", TEXT)))
MOST_WORDS = 30


def test_it_names_many_places():
    assert len(PLACES) > 50


def test_each_place_that_it_names_is_there():
    missing = [path for path, _ in PLACES if not (ROOT / path).exists()]
    assert missing == []
    assert [place for place in PLACES if place[1] and place[1] not in _names(ROOT / place[0])] == []


@cache
def _names(path):
    """What the module defines, its imports left out."""
    return {*_defined_in(path)}


def _defined_in(path):
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            yield from (target.id for target in targets if isinstance(target, ast.Name))


def test_its_examples_run():
    failed, tried = doctest.testfile(str(ROOT / "DEVELOPERS.md"), False, optionflags=doctest.ELLIPSIS)
    assert (failed, tried > 3) == (0, True)


def test_no_sentence_is_long():
    prose = re.sub(r"```.*?```|^    .*$|^\|.*$|^#.*$", "", TEXT, flags=re.DOTALL | re.MULTILINE)
    pieces = re.split(r"(?<=[.:;?!])\s+|\n\n|\n(?=[-0-9*])", prose)
    assert [piece for piece in pieces if len(piece.split()) > MOST_WORDS] == []
