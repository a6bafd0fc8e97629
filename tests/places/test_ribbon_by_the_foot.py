"""Ribbon in a shop in inches and ounces: counted, designed with and sold in feet, and kept in metres. A foot is
0.3048 m (NIST Handbook 44, Appendix C, from memory)."""

import pytest

from app.actions.records.orders import load_order
from app.store.models import DesignRow, Lot, SupplyRow
from tests.actions.supply_helpers import bouquet_on, supply
from tests.places.page_states import is_refused, wrong_fields
from tests.places.payloads import Page, payload, take, words

FEET = {"measures": "inches and ounces"}
METRES = {"measures": "cm and g"}


@pytest.fixture
def ribbon(client, database):
    """The id of a ribbon in a shop that counts in feet."""
    client.post("/office/settings", data=FEET)
    with database.writing() as session:
        return supply(session, "Satin", "ribbon", unit="metre", pack_size=450, grams=0.5, price_minor=33).id


def _row(database, model, row_id):
    with database.reading() as session:
        row = session.get(model, row_id)
        return {column.name: getattr(row, column.name) for column in model.__table__.columns}


def _receive(client, ribbon, **sent):
    lot = {"client_key": "lot-1", "count": "", "packs": "", "day": "2026-11-20"} | sent
    assert client.post(f"/office/stock/supply/{ribbon}", data=lot).status_code == 303
    return words(client.get(f"/office/stock/supply/{ribbon}").text)


def _change_lot(client, act, **sent):
    return client.post(f"/office/stock/lots/1/{act}", data={f"{name}-1": value for name, value in sent.items()})


def test_packs_and_prices_are_typed_by_the_foot(client, database, ribbon):
    page = Page(client.get(f"/office/supplies/{ribbon}").text).values
    assert (page["pack_size"], page["price"]) == ("1476.4", "0.10")
    sent = page | {"pack_size": "500", "price": "0.25", "pack_cost": "5.00"}
    assert client.post(f"/office/supplies/{ribbon}", data=sent).status_code == 303
    row = _row(database, SupplyRow, ribbon)
    assert (row["pack_size"], row["price_minor"]) == (152.4, 82)  # 0.25 / 0.3048 = 0.8202
    assert "One foot costs £0.01." in words(client.get(f"/office/supplies/{ribbon}").text)
    assert Page(client.get(f"/office/supplies/{ribbon}").text).values["price"] == "0.25"


def test_a_price_by_the_foot_that_no_metre_can_cost_is_refused(client, ribbon):
    page = Page(client.get(f"/office/supplies/{ribbon}").text).values
    answer = client.post(f"/office/supplies/{ribbon}", data=page | {"price": "7000000"})
    assert (answer.status_code, wrong_fields(answer.text)) == (422, ["price"])


def test_a_lot_is_received_and_counted_in_feet(client, database, ribbon):
    assert "100 ft on hand" in _receive(client, ribbon, count="100")
    assert _row(database, Lot, 1)["on_hand"] == 30.48
    _change_lot(client, "count", count="90", why="Sunday count", seen="30.48", counts="0")
    assert _row(database, Lot, 1)["on_hand"] == 27.432


def test_the_rounded_number_of_the_page_is_what_it_stands_for(client, database, ribbon):
    """123.45 m are 405.02 ft; whoever counts the 405 ft that the page shows finds nothing missing."""
    assert "405 ft on hand" in _receive(client, ribbon, count="123.45 m")
    _change_lot(client, "count", count="405", why="Sunday count", seen="123.45", counts="0")
    assert _row(database, Lot, 1)["on_hand"] == 123.45
    _change_lot(client, "aside", **{"why-aside": "Faded"})
    answer = _change_lot(client, "use", used="405.1", seen="123.45", **{"why-used": "Practice"})
    assert (answer.status_code, is_refused(answer.text)) == (422, True)
    assert "up to 405 ft." in words(answer.text)
    _change_lot(client, "use", used="405", seen="123.45", **{"why-used": "Practice"})
    assert _row(database, Lot, 1)["on_hand"] == 0


def test_a_design_takes_feet_and_is_the_same_when_it_is_sent_back(client, database, ribbon):
    with database.writing() as session:
        design = bouquet_on(session, session.get(SupplyRow, ribbon), 1.2).id
    page = Page(client.get(f"/office/designs/{design}").text).values
    assert page["supplies-0-quantity_per_piece"] == "3.937"
    assert client.post(f"/office/designs/{design}", data=page).status_code == 303
    assert _of_one(database, design) == 1.2
    sent = page | {"supplies-0-quantity_per_piece": "10"}
    assert client.post(f"/office/designs/{design}", data=sent).status_code == 303
    assert _of_one(database, design) == 3.048


def _of_one(database, design):
    with database.reading() as session:
        return session.get(DesignRow, design).supplies[0].quantity


def test_ribbon_that_is_sold_by_the_foot_stays_so_when_the_shop_changes_its_units(client, database, ribbon):
    """0.33 a metre is 0.10 a foot; 10 ft take 3.048 m from the stock."""
    _receive(client, ribbon, packs="1")
    sold = {"extras__0__what": f"supply:{ribbon}:ft", "extras__0__quantity": "10"}
    number = take(client, **sold)
    assert _extra(database, number) == ("Satin, by the foot", 10, 10, 0.3048)
    assert "1,466.4 ft free today" in words(client.get(f"/office/stock/supply/{ribbon}").text)
    client.post("/office/settings", data=METRES)
    page = Page(client.get(f"/counter/orders/{number}/change").text).values
    assert client.post(f"/counter/orders/{number}/change", data=page).status_code == 303
    assert _extra(database, number) == ("Satin, by the foot", 10, 10, 0.3048)
    assert "446.95 m free today" in words(client.get(f"/office/stock/supply/{ribbon}").text)


def _extra(database, number):
    with database.reading() as session:
        extra = load_order(session, number).extras[0]
        return extra.title, extra.quantity, extra.unit_minor, extra.of_one


def test_the_order_form_offers_ribbon_in_the_shops_unit(client, ribbon):
    form = client.post("/counter/draft", data=payload(fix="add-extra")).text
    assert "Satin · £0.10 a foot" in form
    client.post("/office/settings", data=METRES)
    assert "Satin · £0.33 a metre" in client.post("/counter/draft", data=payload(fix="add-extra")).text
