"""Promises that every template keeps."""

import re
from pathlib import Path

import pytest
from jinja2 import Environment, meta

ROOT = Path(__file__).resolve().parents[2] / "app" / "templates"
TEMPLATES = sorted(path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*.html"))
PAGES = [
    name for name in TEMPLATES if not name.rpartition("/")[2].startswith("_") and not name.startswith("_macros/")
]

LONGEST_LINE = 120

FORBIDDEN = {
    "an inline script": r"<script(?![^>]*\bsrc=)",
    "an inline style": r"<style|\sstyle\s*=",
    "an inline handler": r"\son[a-z]+\s*=",
    "a script address": r"javascript:",
    "an htmx handler": r"hx-on",
    "htmx code": r"""["'\s]js:""",
    "a trigger filter": r"""hx-trigger=["'][^"']*\[""",
    "something from elsewhere": r"""(?:src|href|action)=["'](?:https?:)?//""",
}


def _source(name):
    return (ROOT / name).read_text(encoding="utf-8")


def _found_in(names, look):
    """What look(source) finds in templates, by their names."""
    return {name: found for name in names if (found := look(_source(name)))}


def test_there_are_templates_to_look_at():
    assert len(TEMPLATES) > 20
    assert {"base.html", "error.html", "bench/board.html", "counter/form.html"} <= set(PAGES)


def test_each_compiles(app):
    for name in TEMPLATES:
        app.jinja_env.get_template(name)


def test_no_line_is_too_long_to_read():
    def too_long(source):
        return [line for line in source.splitlines() if len(line) > LONGEST_LINE]

    assert _found_in(TEMPLATES, too_long) == {}


def test_each_is_indented_by_two_spaces():
    def uneven(source):
        return [line for line in source.splitlines() if re.match(r"(?:  )* \S|\s*\t", line)]

    assert _found_in(TEMPLATES, uneven) == {}


def test_no_line_ends_in_white_space():
    assert _found_in(TEMPLATES, lambda source: re.findall(r"[ \t]+$", source, re.MULTILINE)) == {}


def test_none_has_what_the_policy_forbids():
    assert _found_in(TEMPLATES, _forbidden_in) == {}


def _forbidden_in(source):
    return [what for what, pattern in FORBIDDEN.items() if re.search(pattern, source, re.IGNORECASE)]


@pytest.mark.parametrize(
    "guilty",
    [
        "<script>go()</script>",
        '<p style="color:red">',
        '<a onclick="go()">',
        '<a href="javascript:go()">',
        '<a hx-on:click="go()">',
        """<a hx-vals='js:{a: 1}'>""",
        '<a hx-trigger="click[ctrlKey]">',
        '<script src="https://cdn.example/x.js"></script>',
    ],
)
def test_the_look_for_forbidden_things_finds_them(guilty):
    assert _forbidden_in(guilty)


def test_every_page_has_a_title():
    title = r"\{% block title %\}\s*\S|<title>[^<]*\S[^<]*</title>"
    assert _found_in(PAGES, lambda source: not re.search(title, source)) == {}


def test_every_template_that_one_names_is_there():
    def missing(source):
        return set(meta.find_referenced_templates(Environment(autoescape=True).parse(source))) - set(TEMPLATES)

    assert _found_in(TEMPLATES, missing) == {}


def test_every_form_that_posts_carries_the_token():
    def without(source):
        posting = [form for form in re.findall(r"<form\b.*?</form>", source, re.DOTALL) if 'method="post"' in form]
        return [form for form in posting if "csrf()" not in form and "form_head(" not in form]

    assert _found_in(TEMPLATES, without) == {}


DRAWN_BY_HAND = {
    "_macros/fields.html": "the one macro",
    "base.html": "the search at the top of every page",
    "office/_settings_search.html": "the search over all settings, drawn like that one",
}


def test_one_macro_draws_every_field():
    def drawn(source):
        fields = re.findall(r"<(?:input|select|textarea)\b[^>]*>", source)
        return [field for field in fields if 'type="hidden"' not in field]

    found = _found_in(TEMPLATES, drawn)
    assert found.keys() == DRAWN_BY_HAND.keys(), found


def test_every_field_that_htmx_may_swap_has_an_id(client):
    """Else the focus is lost when the form comes back."""
    page = client.get("/counter/").text
    form = page[page.index('<form id="order-form"') : page.index("</form>", page.index('<form id="order-form"'))]
    fields = re.findall(r"<(?:input|select|textarea)\b[^>]*>", form)
    assert len(fields) > 15
    for field in fields:
        assert 'type="hidden"' in field or ' id="' in field, field


def test_the_scripts_of_the_house_are_its_own():
    static = ROOT.parents[1] / "static"
    assert (static / "vendor" / "htmx-4.0.1.min.js").stat().st_size > 10_000
    for script in static.glob("*.js"):
        assert "eval(" not in script.read_text(encoding="utf-8")
        assert "innerHTML" not in script.read_text(encoding="utf-8")


def test_no_brace_of_the_stylesheet_is_lost():
    """A lost one swallows every rule after it, and nothing complains."""
    depth = 0
    sheet = (ROOT.parents[1] / "static" / "house.css").read_text(encoding="utf-8")
    for number, line in enumerate(sheet.splitlines(), 1):
        if line and not line[0].isspace() and line[0] not in "}/":
            assert depth == 0, f"line {number} stands inside another rule"
        depth += line.count("{") - line.count("}")
    assert depth == 0
