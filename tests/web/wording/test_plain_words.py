"""Words that readers stumbled over stand nowhere a person can read them: in no sentence of the code or of a
template, and on no page of the demo, whatever it shows."""

import ast
import re
from pathlib import Path

import seed_demo
from tests.places.payloads import payload
from tests.web.demo_pages import linked_pages, spoken

APP = Path(seed_demo.__file__).parent / "app"
STATIC = APP.parent / "static"

STUMBLED_OVER = (
    r"work it out|take the order|empty the form|leave it as it was",
    r"\bchancy\b|warmth there|height there|filled there|still up until|how it leaves|let in at",
    r"no date: that same day|name or part|caller[’']s word|\bsell at once\b|\bsold at once\b",
    r"taken all the same|taken though|all the same, because",
    r"\bcorral|pull list|\bgauges\b|set aside, begun|taken for full|\bslips?\b",
    r"for want of|hand-minutes|too many hands|\b\d+ hands?\b|\bmore hands?\b|one hand\b|hands and load",
    r"\bbeside all\b|\bbeside it\b|begun now|late as you can|been begun|sizer settings of the day",
    r"practically (always|never)|stays? free|stays? over|called otherwise|advise against|shop[’']s floor",
    r"\breckon|\banew\b|look again|is not a number|not this time|that you empty|no order stands",
    r"log-normal|what order \d+ leaves|in one of it|stood ready|still to say|the latex later|who are you",
    r"last heard|\bretired?\b|offer(ed|s)? it no longer|no longer offered|\btak(e|en|es) back\b|\btake it back\b",
    r"\bhired?\b|\bhires\b|\bkeep it\b|\bnote it\b|are kept\b|\bis kept\b",
    r"\bwanting\b|, please\b|\d\s%|(?<!to )\b\d+\.\d+%",
)
"""Of the left column of the table of words, and of others like it: each was read aloud and not understood."""

STUMBLE = re.compile("|".join(STUMBLED_OVER), re.IGNORECASE)
SILENT = re.compile(r"\{#.*?#\}|\{%.*?%\}|/\*.*?\*/|^\s*//[^\n]*", re.DOTALL | re.MULTILINE)
"""Comments and statements, in templates and scripts."""


def _literals(source):
    """Yields each text of the code that is no docstring, an f-string as one text."""
    tree = ast.parse(source)
    owners = (ast.Module, ast.ClassDef, ast.FunctionDef)
    docs = {id(node.body[0].value) for node in ast.walk(tree) if isinstance(node, owners) and _has_doc(node)}
    for node in ast.walk(tree):
        docs |= {id(child.value) for child in ast.iter_child_nodes(node) if _is_bare_text(child)}
        if isinstance(node, ast.JoinedStr):
            docs |= {id(part) for part in node.values}
            yield "".join(str(part.value) if isinstance(part, ast.Constant) else "0" for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.value


def _has_doc(node):
    return bool(node.body) and _is_bare_text(node.body[0])


def _is_bare_text(node):
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def _stumbles(text):
    """Returns each stumbling word with what stands around it."""
    return [text[max(0, found.start() - 30) : found.end() + 30] for found in STUMBLE.finditer(text)]


def _heading(table):
    """Returns the first line of a table."""
    return table.partition("\n")[0]


def _by_file(files, texts_of):
    """The stumbling words of each file that has any."""
    found = {str(file): [one for text in texts_of(file.read_text()) for one in _stumbles(text)] for file in files}
    return {file: stumbles for file, stumbles in found.items() if stumbles}


def test_no_sentence_of_the_code_has_one():
    assert _by_file(APP.rglob("*.py"), lambda code: (text for text in _literals(code) if " " in text)) == {}


def test_no_template_and_no_script_has_one():
    files = [*APP.rglob("*.html"), *STATIC.glob("*.js")]
    assert _by_file(files, lambda text: [re.sub(r"\s+", " ", SILENT.sub(" ", text))]) == {}


MOST_OF_A_KIND = 4
"""Pages of one kind that are read: the first orders, batches and days that a page leads to show all states."""


def test_no_page_of_the_demo_has_one(demo):
    """Every page that links lead to, from the front door on."""
    read, found = 0, {}
    for address, answer in linked_pages(demo, MOST_OF_A_KIND):
        read += 1
        read_out = {"text/html": spoken, "text/csv": _heading}.get(answer.mimetype)
        if read_out and (stumbles := _stumbles(read_out(answer.text))):
            found[address] = stumbles
    assert read > 60
    assert found == {}


STATES = {
    "safe": {"hand_over_time__hour": "14:00"},
    "won't last": {"lasts_until__day": "2026-11-22", "lasts_until__hour": "23:00"},
    "for the bench too much": {"lines__0__quantity": "2000", "lines__0__colours": ""},
    "outdoors": {"surroundings": "sun", "wind": "9", "venue_celsius": "31"},
    "at the venue": {"hand_over": "venue", "address": "Pier 4"},
    "allergic": {"latex_allergy": "y"},
    "in the past": {"event_start__day": "2025-11-21"},
    "nothing typed": dict.fromkeys(("customer", "lines__0__what", "lines__0__quantity", "event_start__day"), ""),
    "nonsense": {"lines__0__quantity": "some", "event_start__hour": "noonish", "lines__0__colours": "3 red"},
}


def test_no_answer_to_an_order_has_one(demo):
    """Neither while it is typed nor when it is sent."""
    found = {}
    for name, changes in STATES.items():
        for address in ("/counter/draft", "/counter/orders"):
            sent = payload(fix="work", client_key=f"words {name}", **changes)
            if stumbles := _stumbles(spoken(demo.post(address, data=sent, follow_redirects=True).text)):
                found[name, address] = stumbles
    assert found == {}
