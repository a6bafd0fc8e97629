"""Every page of the demo is valid: parsed strictly, and looked at for what a parser does not refuse."""

import re
from collections import Counter

import html5lib
import pytest

from tests.web.demo_pages import linked_pages

HTML = "{http://www.w3.org/1999/xhtml}"
GLOBAL = {
    *("accesskey", "autofocus", "class", "dir", "hidden", "id", "inert", "lang", "role", "tabindex", "title"),
}
OWN = {
    "a": {"download", "href", "rel", "target"},
    "button": {"disabled", "form", "formaction", "formmethod", "formnovalidate", "name", "type", "value"},
    "col": {"span"},
    "colgroup": {"span"},
    "del": {"datetime"},
    "details": {"name", "open"},
    "fieldset": {"disabled", "name"},
    "form": {"action", "autocomplete", "enctype", "method", "name", "novalidate"},
    "img": {"alt", "decoding", "height", "loading", "src", "width"},
    "input": {
        *("accept", "autocomplete", "checked", "disabled", "enterkeyhint", "form", "inputmode", "list", "max"),
        *("maxlength", "min", "multiple", "name", "pattern", "placeholder", "readonly", "required", "size"),
        *("step", "type", "value"),
    },
    "ins": {"datetime"},
    "label": {"for"},
    "li": {"value"},
    "link": {"href", "rel", "type"},
    "meta": {"charset", "content", "name"},
    "meter": {"high", "low", "max", "min", "value"},
    "ol": {"reversed", "start", "type"},
    "optgroup": {"disabled", "label"},
    "option": {"disabled", "label", "selected", "value"},
    "output": {"for", "name"},
    "progress": {"max", "value"},
    "script": {"async", "defer", "src", "type"},
    "select": {"autocomplete", "disabled", "form", "multiple", "name", "required", "size"},
    "source": {"height", "media", "srcset", "type", "width"},
    "td": {"colspan", "headers", "rowspan"},
    "textarea": {
        *("autocomplete", "disabled", "maxlength", "name", "placeholder", "readonly", "required", "rows"),
    },
    "th": {"abbr", "colspan", "headers", "rowspan", "scope"},
    "time": {"datetime"},
}
SWITCHES = {"autofocus", "checked", "disabled", "hidden", "inert", "multiple", "novalidate", "open", "readonly"}
SWITCHES |= {"formnovalidate", "required", "reversed", "selected"}
INTERACTIVE = {"a", "button", "details", "input", "label", "select", "summary", "textarea"}
BLOCKS = {"aside", "div", "dl", "fieldset", "figure", "footer", "form", "header", "hr", "main", "nav", "ol", "p"}
BLOCKS |= {"pre", "section", "table", "ul"}
PHRASES = {"a", "button", "dt", "h1", "h2", "h3", "label", "output", "p", "span", "strong"}
"""What holds words only; a link may hold what its place may hold, but none of ours does."""
CHILDREN = {
    "ul": {"li"},
    "ol": {"li"},
    "dl": {"div", "dt", "dd"},
    "tr": {"td", "th"},
    "select": {"option", "optgroup"},
}


def wrong_in(text):
    """What is not valid in a page."""
    parser = html5lib.HTMLParser()
    tree = parser.parse(text)
    found = [f"{code} {data} in line {place[0]}" for place, code, data in parser.errors]
    found += _ids(tree)
    for element, above in _walk(tree, ()):
        found += _attributes(element)
        found += _nesting(element, above)
    return found


def _tag(element):
    """The name of an HTML tag; empty for anything else."""
    tag = element.tag
    return tag.removeprefix(HTML) if isinstance(tag, str) and tag.startswith(HTML) else ""


def _walk(element, above):
    """Yields each HTML tag with the names of those around it."""
    for child in element:
        tag = _tag(child)
        if tag:
            yield child, above
        yield from _walk(child, (*above, tag))


def _ids(tree):
    ids = Counter(one.get("id") for one in tree.iter() if one.get("id") is not None)
    wrong = ((one, count) for one, count in ids.items() if count > 1 or not re.fullmatch(r"\S+", one))
    return [f"id {one!r} stands {count} times" for one, count in wrong]


def _attributes(element):
    tag = _tag(element)
    for name, value in element.attrib.items():
        if name in SWITCHES and value not in ("", name):
            yield f"{tag} {name}={value!r}"
        is_known = name in GLOBAL | OWN.get(tag, set()) or name.startswith(("aria-", "data-", "hx-"))
        if not is_known:
            yield f"{tag} has {name}"
    if tag == "img" and "alt" not in element.attrib:
        yield "img without alt"


def _nesting(element, above):
    tag = _tag(element)
    is_hidden = tag == "input" and element.get("type") == "hidden"
    if tag in INTERACTIVE and not is_hidden and {"a", "button"} & {*above}:
        yield f"{tag} in {'a' if 'a' in above else 'button'}"
    if tag in BLOCKS and above and above[-1] in PHRASES:
        yield f"{tag} in {above[-1]}"
    others = {_tag(child) for child in element} - CHILDREN.get(tag, set()) - {"", "script", "template"}
    if tag in CHILDREN and others:
        yield f"{tag} holds {others}"


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("<p><div></div></p>", "p"),
        ('<ul><li id="a"></li><li id="a"></li></ul>', "2 times"),
        ('<i id="a b"></i>', "'a b'"),
        ('<input autofocus="True">', "autofocus"),
        ('<input type="text" type="text">', "duplicate-attribute"),
        ('<button><a href="/"></a></button>', "a in button"),
        ("<span><div></div></span>", "div in span"),
        ("<ul><p></p></ul>", "ul holds"),
        ('<p colour="red"></p>', "colour"),
        ('<img src="/">', "alt"),
        ("<b><i></b></i>", "adoption"),
    ],
)
def test_what_is_wrong_is_found(text, part):
    page = f'<!doctype html><html lang="en"><head><title>x</title></head><body>{text}</body></html>'
    assert any(part in one for one in wrong_in(page)), wrong_in(page)


def test_every_page_of_the_demo_is_valid(demo):
    pages = [(address, answer) for address, answer in linked_pages(demo, 1) if answer.mimetype == "text/html"]
    assert len(pages) > 40
    wrong = {address: found for address, answer in pages if (found := wrong_in(answer.text))}
    assert wrong == {}
