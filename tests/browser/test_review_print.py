"""The review on paper: A4 portrait, with nothing cut off and no panel of bars on two pages."""

import os
import re
import shutil
import subprocess
import unicodedata

import pytest

from tests.conftest import DEMO_NOON, open_unsafely
from tests.many_orders import copy_into_the_past
from tests.serving import running

pytestmark = pytest.mark.browser

A4_WIDTH, A4_HEIGHT = 595.3, 841.9
"""In points of 1/72 inch; what Chromium writes is up to one more."""
MOST_PAGES = 14
PANELS = """() => [...document.querySelectorAll(".chart svg[aria-label]")].map(
    svg => [...svg.querySelectorAll("text")].map(text => text.textContent).join(" "))"""


@pytest.fixture(scope="module")
def poppler():
    if shutil.which("pdftotext") is None:
        reason = "No pdftotext here: poppler-utils is not installed"
        pytest.fail(reason) if os.environ.get("CI") else pytest.skip(reason)


@pytest.fixture(scope="module")
def printed(poppler, chromium, demo_file, tmp_path_factory):
    """The review of a year as a PDF, and the words of each panel of a picture."""
    folder = tmp_path_factory.mktemp("printed")
    file = shutil.copy(demo_file, folder / "shop.sqlite")
    database = open_unsafely(file)
    with database.writing() as session:
        copy_into_the_past(session, 1200, hours_between=7)
    database.engine.dispose()
    year = f"from={DEMO_NOON.year - 1}-11-22&to={DEMO_NOON:%Y-%m-%d}"
    with running(["-m", "app", "serve"], folder / "log", DATABASE_URL=f"sqlite:///{file}") as port:
        window = chromium.new_page()
        window.goto(f"http://127.0.0.1:{port}/office/review?{year}")
        panels = window.evaluate(PANELS)
        window.pdf(path=folder / "review.pdf", format="A4")
        window.close()
    return folder / "review.pdf", panels


def _letters(text):
    """The text without spaces, and ligatures as single letters."""
    return re.sub(r"\s", "", unicodedata.normalize("NFKC", text))


def _read(*words):
    return subprocess.run([*map(str, words), "-"], check=True, capture_output=True, text=True).stdout


def test_each_panel_is_whole_on_one_page(printed):
    file, panels = printed
    pages = [_letters(page) for page in _read("pdftotext", "-raw", file).split("\f")[:-1]]
    assert len(panels) > 20
    assert [words for words in panels if not any(_letters(words) in page for page in pages)] == []


def test_it_is_a4_portrait_on_few_pages_and_no_word_lies_outside(printed):
    boxes = _read("pdftotext", "-bbox", printed[0])
    pages = [(float(wide), float(high)) for wide, high in re.findall(r'<page width="(.+?)" height="(.+?)"', boxes)]
    assert all(size == pytest.approx((A4_WIDTH, A4_HEIGHT), abs=1) for size in pages)
    assert 3 < len(pages) <= MOST_PAGES
    words = re.findall(r'<word xMin="(.+?)" yMin="(.+?)" xMax="(.+?)" yMax="(.+?)"', boxes)
    assert len(words) > 500
    for left, top, right, bottom in (map(float, word) for word in words):
        assert left >= 0 <= top
        assert right <= A4_WIDTH + 1
        assert bottom <= A4_HEIGHT + 1
