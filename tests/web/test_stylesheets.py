"""What a page loads of the stylesheets: no rule that nothing is drawn with, and for the board and its tickets only
what they need."""

import re
from pathlib import Path

import pytest

from tests.web.stylesheets import STATIC, STYLESHEETS, rules_of

APP = STATIC.parent / "app"
TEMPLATES = {
    path.relative_to(APP / "templates").as_posix(): path.read_text(encoding="utf-8")
    for path in (APP / "templates").rglob("*.html")
}
CLASS = re.compile(r"\.([A-Za-z][\w-]*)")
"""A class, as a rule asks for it."""
WORD = re.compile(r"[A-Za-z][\w-]*")
CLASSES = re.compile(r'class="((?:\{\{.*?\}\}|\{%.*?%\}|[^"])*)"')
"""What a tag of a template says of its classes."""
REFERENCE = re.compile(r'\{%-? *(?:from|include|import|extends) "([^"]+)"')
BEGINS = re.compile(r"([A-Za-z][\w-]*-)(?:\{|[\"'] ?~)")
"""What a name begins with whose rest is a value."""
HTMX_SETS = {"htmx-request"}
MACROS_NOT_CALLED = {"add-photos", "hours-read", "setting"}
"""Classes of macros whose file the board uses, but not them."""
DRAWN_QUICKLY = ("bench/board.html", "bench/_board.html", "bench/_more_to_do.html", "bench/ticket.html")
"""The pages that a tablet at the bench waits for."""
LOADED = ("house.css", "bench.css", "sheet.css", "ticket.css")


def _classes_of(stylesheet):
    """The classes that the rules of a stylesheet ask for."""
    return {name for rule, _ in rules_of(stylesheet) for name in CLASS.findall(rule.rpartition("{")[2])}


def _is_drawn(name, names, beginnings):
    return name in names or name.startswith(tuple(beginnings))


def _drawing_texts():
    modules = [*(APP / "web").rglob("*.py"), *(APP / "places").rglob("*.py"), *STATIC.glob("*.js")]
    return [*TEMPLATES.values(), *(path.read_text(encoding="utf-8") for path in modules)]


def _reached_from(pages):
    """The templates with which these pages are drawn."""
    waiting, reached = [*pages], set()
    while waiting:
        name = waiting.pop()
        if name not in reached:
            reached.add(name)
            waiting += REFERENCE.findall(TEMPLATES[name])
    return reached


@pytest.mark.parametrize("stylesheet", STYLESHEETS)
def test_no_rule_is_for_something_that_nothing_draws(stylesheet):
    texts = _drawing_texts()
    names = HTMX_SETS.union(*map(WORD.findall, texts))
    beginnings = {beginning for text in texts for beginning in BEGINS.findall(text)}
    assert {name for name in _classes_of(stylesheet) if not _is_drawn(name, names, beginnings)} == set()


def test_a_dead_rule_would_be_seen():
    assert not _is_drawn("never-drawn", {"never", "drawn"}, {"state-"})
    assert _is_drawn("state-late", set(), {"state-"})
    assert {"badge-", "state-"} <= {beginning for text in TEMPLATES.values() for beginning in BEGINS.findall(text)}


def test_the_board_and_its_tickets_draw_nothing_that_only_the_other_pages_have_rules_for():
    """They are drawn without desk.css."""
    reached = _reached_from(DRAWN_QUICKLY)
    drawn = {
        name for template in reached for said in CLASSES.findall(TEMPLATES[template]) for name in WORD.findall(said)
    }
    loaded = {name for sheet in LOADED for name in _classes_of(sheet)}
    assert len(reached) > 20
    assert {"card", "panel-time"} <= drawn
    assert drawn & (_classes_of("desk.css") - loaded) == MACROS_NOT_CALLED


@pytest.mark.parametrize("address", ["/bench", "/counter/", "/pickups/", "/office/", "/help", "/staff/", "/health"])
def test_every_other_page_has_both(demo, address):
    sheets = re.findall(r'href="/static/(\w+\.css)', demo.get(address).text)
    assert sheets[:1] == ["house.css"]
    assert ("desk.css" in sheets) == (address != "/bench")
    assert all(Path(STATIC, sheet).is_file() for sheet in sheets)
