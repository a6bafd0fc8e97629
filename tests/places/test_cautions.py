"""Cautions stand where balloons are sold, handed over, confirmed or priced, and where gas is; nowhere else."""

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


def test_each_page_of_a_shop_at_work_opens_with_the_caution_of_its_kind_and_no_other(client, number):
    take(
        client, client_key="key-2", lines__0__treated="y", lines__1__what="balloon_type:12", lines__1__quantity="1"
    )
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    found = {address: client.get(address.format(number)) for address in EMPTY + WITH_AN_ORDER}
    assert {address: page.status_code for address, page in found.items() if page.status_code != 200} == {}
    shown = {address: values(page.text, "safety") for address, page in found.items()}
    assert shown == {address: [KINDS[address]] if address in KINDS else [] for address in found}


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
