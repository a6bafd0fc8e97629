"""A shop's units hold on every page of the demo and of Help, or on none: what a page shows and asks for is in the
units that the settings choose."""

import re

import pytest

from app.demo.orders import DEMO_ORDERS
from tests.conftest import DEMO_NOON
from tests.places.payloads import Page
from tests.web.demo_pages import linked_pages, spoken

NAMES = (
    r"\b(?:weight|bear|bag|ribbon|bottle of) \d+ (?:mm|cm|mL|g)\b",
    r"\b\d+ in (?:latex|foil|jumbo foil|sphere|clear stuffing latex)\b",
    r"2 × 60 in",
    r"size in inches by which the trade names it",
    r"names balloons by their size in inches",
    r"“11 in”",
    r"\b(?:red|star,) 11 in\b|bear or 11 in\b",
)
"""Names of the demo's goods, which say what is printed on their packs. The trade names balloons by their size in
inches, and a name can be searched for."""
ELSEWHERE = (
    r"below 52 °C / 125 °F",
    r"with balloon sizes in inches",
    r"cm and g|inches and ounces|inches\s+and ounces",
    r"°C or °F|in km/h, mph, m/s or knots|ribbon by the foot; an order",
)
"""What is in one unit in every shop: the caution of compressed gas, as its rule has it (29 CFR 1910.101); the files
for other programs; the names of the choices themselves."""
METRIC = r"cm|mm|m|g|kg|m/s|km/h|g/m|h/g|per m|°C"
IMPERIAL = r"in|ft|oz|lb|mph|oz/100 ft|h/oz|per ft|°F"
SHOPS = {
    "inches, ounces and °F": (
        {"measures": "inches and ounces", "temperature": "°F", "length": "in"},
        METRIC,
        r"(?<!cubic )\b(?:metres?|centimetres?|grams?)\b",
        {"in", "ft", "oz", "oz/100 ft", "h/oz", "mph", "per ft", "°F"},
    ),
    "cm, g and °C": (
        {"measures": "cm and g", "temperature": "°C", "length": "cm"},
        IMPERIAL,
        r"\b(?:inch|inches|ounces?|(?:per|one|a|by the|in) (?:foot|feet))\b",
        {"cm", "m", "g", "g/m", "h/g", "m/s", "per m", "°C"},
    ),
}
"""By shop: its settings, the units and the words of the other system, the units that fields have beside them."""


def _read_out(page):
    """Returns what a page says of this shop, without what nobody sees, without the sources of defaults, which are
    quoted as they are, and without a formula in the units of its source."""
    quoted = r'<span class="source">.*?</span>|<dt>Source</dt><dd>.*?</dd>|<p class="formula">.*?</p>'
    quoted += r'|<input type="hidden"[^>]*>'
    text = spoken(re.sub(quoted, "", page, flags=re.DOTALL))
    return re.sub("|".join((*NAMES, *ELSEWHERE)), "", text, flags=re.IGNORECASE)


def _found(page, units, words):
    """Returns each measure in one of these units, with what stands before it, and the fields that ask for one."""
    text = _read_out(page)
    measure = rf"(?<![£.,\d])\d[\d.,]*\s(?:{units})(?![\w/³]|\s(?:[0-9]|(?:it|each|stock|use)\b))"
    said = [text[max(0, one.start() - 40) : one.end() + 10] for one in re.finditer(f"{measure}|{words}", text)]
    beside = re.findall(r'<input\s+id="([^"]*)"[^>]*><span class="unit">([^<]*)<', page)
    return said + [one for one in beside if re.fullmatch(units, one[1]) and one != ("nominal_in", "in")]


def _use_ribbon(demo):
    """Puts the demo's ribbon in stock and up for sale; returns the addresses of the pages which count it."""
    supply = re.search(r'href="/office/supplies/(\d+)">Curling', demo.get("/office/supplies").text)[1]
    page = Page(demo.get(f"/office/supplies/{supply}").text).values | {"price": "0.30"}
    assert demo.post(f"/office/supplies/{supply}", data=page).status_code == 303
    lot = {"client_key": "ribbon", "count": "", "packs": "2", "day": DEMO_NOON.date().isoformat()}
    assert demo.post(f"/office/stock/supply/{supply}", data=lot).status_code == 303
    return f"/office/supplies/{supply}", f"/office/stock/supply/{supply}"


def _pages(demo, addresses):
    """Returns the text of the demo's pages by address: a few of each kind, all orders, and these."""
    orders = (f"/counter/orders/{1001 + place}" for place in range(len(DEMO_ORDERS)))
    pages = [*linked_pages(demo, 2), *((one, demo.get(one)) for one in (*orders, *addresses))]
    return {address: answer.text for address, answer in pages if answer.mimetype == "text/html"}


@pytest.mark.parametrize("shop", SHOPS)
def test_no_page_of_the_demo_shows_or_asks_for_a_measure_in_other_units(demo, shop):
    settings, units, words, expected = SHOPS[shop]
    demo.post("/office/settings", data=settings)
    pages = _pages(demo, _use_ribbon(demo))
    beside = {unit for page in pages.values() for unit in re.findall(r'<span class="unit">([^<]*)<', page)}
    found = {address: _found(page, units, words) for address, page in pages.items()}
    assert len(pages) > 50
    assert expected <= beside
    assert not any(found.values()), "\n".join(f"{a}: {t}" for a, t in found.items() if t)


CONSTRUCTIONS = ("bouquet", "strings", "base", "column", "arch", "garland", "strung", "stuffed")


@pytest.mark.parametrize("construction", CONSTRUCTIONS)
def test_a_build_sheet_has_its_sizes_in_cm_where_the_shop_wants_them(demo, construction):
    demo.post("/office/settings", data={"length": "cm"})
    page = demo.get(f"/bench/calculator?form={construction}&item=Bear&item_cm=90").text
    assert "<svg" in page or construction == "stuffed"
    assert _found(page, "in", "inches") == []
