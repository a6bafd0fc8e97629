"""A shop in inches and ounces reads and types no metric length, weight or wind, on no page of the demo."""

import re

import pytest

from app.web.measures import IMPERIAL
from tests.web.wording.demo_pages import linked_pages, spoken

NAMED = r"Weight \d+ g|bear \d+ cm|bag \d+ cm|ribbon \d+ mm"
"""Names of the demo's supplies, which say what is printed on them."""
COUNTED_IN_METRES = r"\b450\sm\b"
"""The pack of the demo's ribbon: stock is counted in pieces, m and mL in every shop."""
METRIC = re.compile(r"[0-9]\s(?:cm|m|g|kg|m/s|g/m|per m|per metre)\b(?!/)")

FORMULAS = ("/help/numbers",)
"""Where the numbers come from is said in the units of the sources."""


@pytest.fixture
def inches_and_ounces(demo):
    demo.post("/office/settings", data={"measures": "inches and ounces"})
    return demo


def _read_out(page):
    """Returns what a page says of this shop, without the sources of defaults, which are quoted as they are."""
    return spoken(re.sub(r'<span class="source">.*?</span>|<dt>Source</dt><dd>.*?</dd>', "", page, flags=re.DOTALL))


def _metric(text):
    """Returns each metric measure with what stands before it."""
    text = re.sub(f"{NAMED}|{COUNTED_IN_METRES}", "", text, flags=re.IGNORECASE)
    return [text[max(0, found.start() - 40) : found.end() + 10] for found in METRIC.finditer(text)]


def _units(page):
    """Returns the id of each field of a page that has a unit beside it, with the unit; packs of ribbon are counted
    in m."""
    beside = re.findall(r'<input\s+id="([^"]*)"[^>]*><span class="unit">([^<]*)<', page)
    return [(id_, unit) for id_, unit in beside if (id_, unit) != ("pack_size", "m")]


def test_no_page_of_the_demo_shows_or_asks_for_a_metric_measure(inches_and_ounces):
    read, units, found = 0, set(), {}
    for address, answer in linked_pages(inches_and_ounces, 2):
        if answer.mimetype == "text/html" and address not in FORMULAS:
            read += 1
            beside = _units(answer.text)
            units |= {unit for _, unit in beside}
            wrong = [one for one in beside if METRIC.search(f"1 {one[1]}")]
            if said := _metric(_read_out(answer.text)) + wrong:
                found[address] = said
    assert read > 50
    assert units >= {unit.name for unit in IMPERIAL.values()}
    assert not found, "\n".join(f"{a}: {t}" for a, t in found.items())


NAMED_BY_INCHES = (
    r"\d+ in (?:latex|foil|jumbo foil|sphere|clear stuffing latex)|2 × 60 in|star, 11 in|counted as 11 in"
)
"""Names of the demo's balloon types and modelling balloons, and the one by which the holding area is counted."""
INCHES = re.compile(r"(?<![£.\d])[0-9]\sin\b(?!\s(?:[0-9]|(?:it|each|stock)\b))")
CONSTRUCTIONS = ("bouquet", "strings", "base", "column", "arch", "garland", "strung", "stuffed")


def _inches(page):
    """Returns each size in inches with what stands before it."""
    text = re.sub(NAMED_BY_INCHES, "", spoken(page))
    return [text[max(0, found.start() - 40) : found.end() + 10] for found in INCHES.finditer(text)]


@pytest.mark.parametrize("construction", CONSTRUCTIONS)
def test_a_build_sheet_has_its_sizes_in_cm_where_the_shop_wants_them(demo, construction):
    demo.post("/office/settings", data={"length": "cm"})
    page = demo.get(f"/bench/calculator?form={construction}&item=Bear&item_cm=90").text
    assert "<svg" in page or construction == "stuffed"
    assert _inches(page) == []


def test_no_page_of_the_bench_shows_a_size_in_inches_to_a_shop_in_cm(demo):
    demo.post("/office/settings", data={"length": "cm"})
    places = ("/bench", "/counter", "/pickups")
    pages = [(address, answer) for address, answer in linked_pages(demo, 2) if address.startswith(places)]
    assert len(pages) > 20
    found = {address: _inches(answer.text) for address, answer in pages if answer.mimetype == "text/html"}
    assert not any(found.values()), found
