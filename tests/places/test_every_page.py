"""Every page opens, has a title, and says where one is."""

import re

import pytest

from tests.actions.photographs import photo_of_order
from tests.places.payloads import Page, payload, take, words
from tests.places.settings_pages import ADDRESSES

EMPTY = [
    "/counter/",
    "/counter/quick-sale",
    "/counter/quick-sale?what=top-up-12&quantity=2",
    "/counter/orders",
    "/counter/orders?q=nobody",
    "/bench",
    "/bench?day=2026-12-24",
    "/bench/calculator",
    "/bench/calculator?form=arch",
    "/bench/gas",
    "/bench/staff",
    "/bench/staff?day=2026-12-24",
    "/bench/staff?from=9&to=12&by=-1",
    "/pickups/",
    "/pickups/?day=2026-12-24",
    "/office/",
    "/office/settings?q=vat",
    *ADDRESSES,
    "/office/settings/history",
    "/office/start",
    "/office/settings/shop?guide=zone",
    "/office/designs/new?guide=design&starter=dozen",
    "/staff/?guide=staff",
    "/office/hours",
    "/office/hours/closed",
    "/office/bench",
    "/office/balloon-types",
    "/office/balloon-types/prices",
    "/office/supplies/prices",
    "/office/balloon-types/colours",
    "/office/balloon-types/new",
    "/office/balloon-types/new?material=foil",
    "/office/balloon-types/4",
    "/office/balloon-types/12",
    "/office/balloon-types/4/weigh?ten=31",
    "/office/timing",
    "/office/timing?gas=helium&kind=4&fills=10&seconds=38",
    "/office/work-times",
    "/office/supplies",
    "/office/supplies/new",
    "/office/supplies/new?sort=hired",
    "/office/supplies/1",
    "/office/stock",
    "/office/stock?q=red",
    "/office/stock/balloon-type/4",
    "/office/stock/supply/1",
    "/office/stock/buying",
    "/bench/fetch-list",
    "/bench/fetch-list?day=2026-11-28",
    "/office/designs",
    "/office/designs/new",
    "/office/gas",
    "/office/gas/new",
    "/office/rentals",
    "/office/review",
    "/office/review/orders",
    "/office/review?from=2026-11-01&to=2026-11-30",
    "/office/review/orders?from=2026-11-01&to=2026-11-30",
    "/office/backups",
    "/health",
    "/staff/",
    "/help",
    "/help?q=treated",
    "/help/first-day",
    "/help/numbers",
    "/help/curve?size=10&treated=1",
    "/help/settings",
]
WITH_AN_ORDER = [
    "/counter/orders/{0}",
    "/counter/orders/{0}/change",
    "/counter/orders/{0}/confirmation",
    "/office/orders/{0}",
    "/counter/customers/1",
    "/bench/batches/{0}-1",
    "/pickups/orders/{0}/back",
    "/pickups/{0}/tag",
]


def _wrong_with(page):
    """Status, title and number of headings, where one of them is wrong; how it is with an order on it is looked at
    beside the cautions."""
    title = re.search(r"<title>([^<]+) · Our balloon shop</title>", page.text)
    found = page.status_code, bool(title), len(re.findall(r"<h1\b", page.text))
    return found if found != (200, True, 1) else None


def test_each_opens_in_an_empty_shop(client):
    wrong = {address: found for address in EMPTY if (found := _wrong_with(client.get(address)))}
    assert wrong == {}


@pytest.mark.parametrize(
    "units",
    [
        {"clock": "12 h", "temperature": "°F", "length": "cm", "currency_decimals": "0"},
        {"locale": "en_DE", "currency_symbol": "€", "measures": "inches and ounces"},
    ],
)
def test_each_opens_in_other_units(client, units):
    client.post("/office/settings", data=units)
    number = take(client)
    addresses = (
        *("/bench", "/bench/batches/{0}-1", "/pickups/"),
        *("/counter/orders/{0}", "/counter/orders/{0}/confirmation", "/office/orders/{0}", "/office/review/orders"),
    )
    assert {client.get(address.format(number)).status_code for address in addresses} == {200}


def test_hours_and_sizes_are_shown_as_the_shop_wants_them(client, number):
    client.post("/office/settings", data={"clock": "12 h", "length": "cm"})
    said = words(client.get(f"/bench/batches/{number}-1").text)
    assert "2:00 pm" in said
    assert "27.9 cm" in said


def test_a_design_of_a_photo_opens(client, database, number):
    with database.writing() as session:
        photo = photo_of_order(session, number).key
    page = client.get(f"/office/designs/of-photo/{photo}")
    assert page.status_code == 200
    assert "<title>Add design · Our balloon shop</title>" in page.text
    assert len(re.findall(r"<h1\b", page.text)) == 1


def test_the_front_door_leads_to_the_bench(client):
    assert client.get("/").location == "/bench"


def test_the_place_where_one_is_is_marked_in_the_menu(client):
    for address, label in (
        ("/counter/", "Counter"),
        ("/bench", "Bench"),
        ("/pickups/", "Pick-ups"),
        ("/help", "Help"),
    ):
        assert re.search(rf'aria-current="page">{label}</a>', client.get(address).text)


@pytest.mark.parametrize("address", ["/counter/", "/counter/quick-sale", "/counter/orders", "/counter/weeks"])
def test_the_page_of_the_counter_where_one_is_is_marked(client, address):
    assert marked_pages(client.get(address)) == ["/counter/", address]


def test_a_refused_order_is_still_a_new_order(client):
    refused = client.post("/counter/orders", data=payload(phone=""))
    assert (refused.status_code, marked_pages(refused)) == (422, ["/counter/", "/counter/"])


def marked_pages(answer):
    """The addresses that are marked as the page where one is: in the menu, then among the counter's pages."""
    return [attrs["href"] for _, attrs in Page(answer.text).tags if attrs.get("aria-current") == "page"]


def test_whoever_chose_their_name_stands_in_the_history(client):
    client.post("/staff/new", data={"name": "Isolde"})
    client.post("/staff/", data={"name": "Isolde"})
    assert 'data-who="Isolde"' in client.get("/bench").text
    number = take(client)
    assert 'data-who="Isolde"' in client.get(f"/counter/orders/{number}").text


def test_a_name_that_nobody_has_is_not_taken_on(client):
    client.post("/staff/", data={"name": "Nobody"})
    assert 'data-who=""' in client.get("/bench").text


def test_a_name_that_cannot_be_has_a_sentence(client):
    answer = client.post("/staff/new", data={"name": "x" * 41})
    assert answer.status_code == 422
    assert "1 to 40" in words(answer.text)
    assert "x" * 41 in answer.text
