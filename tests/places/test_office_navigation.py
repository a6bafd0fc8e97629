"""The office in four parts: which part and which page is marked, also after a refused save."""

import pytest

from app.web.office_parts import PARTS
from tests.places.page_states import values
from tests.places.payloads import Page


def _marked(text):
    """The part that is marked, and the addresses of the marked page."""
    tags = [attrs for _, attrs in Page(text).tags if "aria-current" in attrs and attrs["href"].startswith("/")]
    part = [attrs["data-part"] for attrs in tags if "data-part" in attrs]
    page = [attrs["href"] for attrs in tags if attrs["aria-current"] == "page" and "data-part" not in attrs]
    return part, page[1:]  # the first is the place in the menu


@pytest.mark.parametrize(
    ("address", "part", "page"),
    [
        ("/office/review", "Review", []),
        ("/office/designs/new", "Catalogue", ["/office/designs"]),
        ("/office/balloon-types/colours", "Catalogue", ["/office/balloon-types"]),
        ("/office/supplies/1", "Catalogue", ["/office/supplies"]),
        ("/office/stock/supply/1", "Stock and gas", ["/office/stock"]),
        ("/office/stock/buying", "Stock and gas", ["/office/stock/buying"]),
        ("/office/gas/new", "Stock and gas", ["/office/gas"]),
        ("/office/rentals", "Stock and gas", ["/office/rentals"]),
        ("/office/", "Shop", ["/office/settings"]),
        ("/office/settings/float-times", "Shop", ["/office/settings"]),
        ("/office/settings/history", "Shop", ["/office/settings"]),
        ("/office/timing", "Shop", ["/office/settings"]),
        ("/office/hours", "Shop", ["/office/hours"]),
        ("/office/bench", "Shop", ["/office/bench"]),
        ("/office/work-times", "Shop", ["/office/work-times"]),
        ("/health", "Shop", ["/health"]),
        ("/office/backups", "Shop", ["/office/backups"]),
    ],
)
def test_the_part_and_the_page_are_marked(client, address, part, page):
    text = client.get(address).text
    assert values(text, "part") == [label for label, _ in PARTS]
    assert _marked(text) == ([part], page)


@pytest.mark.parametrize(
    ("address", "sent", "part", "page"),
    [
        ("/office/settings", {"zone": "Mars"}, "Shop", "/office/settings"),
        ("/office/hours", {"opens-2": "9"}, "Shop", "/office/hours"),
        ("/office/balloon-types/new", {"material": "tin"}, "Catalogue", "/office/balloon-types"),
        ("/office/stock/buying", {"press": "7"}, "Stock and gas", "/office/stock/buying"),
    ],
)
def test_they_stay_marked_after_a_refused_save(client, address, sent, part, page):
    refused = client.post(address, data=sent)
    assert refused.status_code == 422
    assert _marked(refused.text) == ([part], [page])
