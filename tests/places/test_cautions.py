"""Cautions stand where balloons are sold, handed over, confirmed or priced, and where gas is; nowhere else."""

import pytest

from app.quoting.settings.all_settings import CAUTION
from tests.places.page_states import values
from tests.places.payloads import take, words
from tests.places.test_bench_gas import put_venue_order
from tests.places.test_every_page import EMPTY, WITH_AN_ORDER
from tests.places.test_office_gas import ADA

KINDS = {
    "/counter/": "sale",
    "/counter/quick-sale": "sale",
    "/counter/quick-sale?what=top-up-12&quantity=2": "sale",
    "/counter/orders/{0}": "sale",
    "/counter/orders/{0}/change": "sale",
    "/counter/orders/{0}/confirmation": "confirmation",
    "/pickups/": "hand-over",
    "/pickups/?day=2026-12-24": "hand-over",
    "/office/balloon-types": "price-list",
    "/office/balloon-types/prices": "price-list",
    "/office/designs": "price-list",
    "/bench/gas": "gas",
    "/office/gas": "gas",
    "/office/gas/new": "gas",
}


@pytest.mark.parametrize("address", EMPTY + WITH_AN_ORDER)
def test_each_page_shows_the_caution_of_its_kind_and_no_other(client, number, address):
    page = client.get(address.format(number), follow_redirects=True)
    assert values(page.text, "safety") == ([KINDS[address]] if address in KINDS else [])


def test_every_page_that_is_named_here_is_looked_at():
    assert KINDS.keys() <= {*EMPTY, *WITH_AN_ORDER}


def test_an_order_that_takes_gas_along_has_both(client, database):
    client.post("/office/gas/new", data=ADA)
    number = put_venue_order(database)
    assert sorted(values(client.get(f"/counter/orders/{number}").text, "safety")) == ["gas", "sale"]


def test_the_text_is_the_shops_own(client):
    client.post("/office/settings", data={"caution": "Mind the cat."})
    number = take(client)
    for address in ("/counter/", "/pickups/", "/office/designs", f"/counter/orders/{number}/confirmation"):
        said = words(client.get(address).text)
        assert "Mind the cat." in said
        assert CAUTION not in said
