"""A shop that has just begun: what it still has to enter, and orders without a price."""

import pytest

from app.actions.records.orders import load_order
from app.store.models import BalloonTypeRow, Order
from tests.places.page_states import is_refused, values
from tests.places.payloads import Page, payload, take
from tests.places.test_office_gas import ADA

ENTERED = {"name": "Pier Balloons", "shop_address": "1 Pier Road", "shop_phone": "01632 960000"}


@pytest.fixture
def unpriced(client, database):
    with database.writing() as session:
        session.query(BalloonTypeRow).update({"price_minor": 0})
    return client


def _missing(client):
    return values(client.get("/office/review/orders").text, "missing")


def test_the_office_lists_what_is_missing_until_it_is_entered(unpriced, database, app, monkeypatch):
    assert _missing(unpriced) == ["prices", "backups", "cylinders", "staff", "name", "address", "phone"]
    unpriced.post("/office/settings", data=ENTERED)
    assert _missing(unpriced) == ["prices", "backups", "cylinders", "staff"]
    with database.writing() as session:
        session.query(BalloonTypeRow).update({"price_minor": 110})
    unpriced.post("/staff/new", data={"name": "Noor"})
    assert _missing(unpriced) == ["backups", "cylinders"]
    monkeypatch.setattr(app.backups, "is_on_same_disk", lambda: False)
    unpriced.post("/office/gas/new", data=ADA)
    for path in ("/office/review/orders", "/office/settings", "/office/gas", "/health"):
        assert values(unpriced.get(path).text, "still-missing") == []


def test_what_is_missing_stands_on_every_page_of_the_office_with_what_it_costs(unpriced):
    for path in (
        "/office/review/orders",
        "/office/",
        "/office/hours",
        "/office/stock",
        "/office/designs",
        "/health",
    ):
        page = unpriced.get(path).text
        assert values(page, "still-missing") == ["7"]
        assert values(page, "unpriced") == ["16"]
        assert values(page, "cost-of-missing") == values(page, "missing")


def test_the_counter_says_that_nothing_has_a_price(unpriced, database):
    assert values(unpriced.get("/counter/").text, "unpriced") == ["16"]
    with database.writing() as session:
        session.query(BalloonTypeRow).filter_by(id=4).update({"price_minor": 110})
    assert values(unpriced.get("/counter/").text, "unpriced") == []


def test_an_order_at_price_0_warns_and_is_saved_only_if_it_is_meant(unpriced, database):
    shown = unpriced.post("/counter/draft", data=payload())
    assert values(shown.text, "free") == [""]
    asked = unpriced.post("/counter/orders", data=payload())
    assert (asked.status_code, is_refused(asked.text), Page(asked.text).focus()) == (422, True, "free")
    with database.reading() as session:
        assert session.query(Order).count() == 0
    number = take(unpriced, free="y")
    with database.reading() as session:
        assert load_order(session, number).total_minor == 0


def test_an_order_with_a_price_is_not_asked_about(client):
    assert values(client.post("/counter/draft", data=payload()).text, "free") == []


def test_a_change_that_makes_an_order_free_asks_too(client, database):
    number = take(client)
    change = f"/counter/orders/{number}/change"
    sent = payload(version="1", discount="100%")
    assert client.post(change, data=sent).status_code == 422
    assert client.post(change, data=sent | {"free": "y"}).status_code == 303
    assert values(client.get(change).text, "free") == ["said"]  # it is not asked about again
