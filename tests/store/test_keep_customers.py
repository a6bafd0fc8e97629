"""A shop that has orders already: migrating makes their customers, and going back keeps the orders."""

import pytest
from sqlalchemy import text

from app.store.migrate import downgrade, upgrade
from app.store.queries.customers import find_customers, past_orders
from app.store.search_keys import digits_of, fold

BEFORE, AFTER = "5b1f0c7a92de", "5c1f0b7d9a36"
ORDERS = (
    # number, customer, phone, taken at
    (1001, "Wilhelmina Hart", "01632 960101", 100),
    (1002, "WILHELMINA HÁRT", "+44 1632 960101", 300),
    (1003, "Wilhelmina Hart", "01632 960999", 200),
    (1004, "Jory Hart", "01632 960101", 400),
    (1005, "Over the counter", "", 500),
    (1006, "Over the counter", "01632 960101", 600),
    (1007, "Bo Lind", "", 700),
    (1008, "Bo Lind", "60101", 800),
    (1009, "Bo Lind", "960101", 900),
)
INSERT = text(
    "INSERT INTO orders (id, number, client_key, version, state, customer, customer_folded, phone, phone_digits,"
    " occasion, surroundings, hand_over, ready_by, travel_minutes, address, notes, verdict, word, total_minor,"
    " tail_minutes, batches_laid, taken_at) VALUES (:number, :number, :key, 1, 'open', :customer, :folded, :phone,"
    " :digits, 'event', 'indoors', 'collect', :taken_at, 0, '', '', 'safe', '', 100, 0, 0, :taken_at)"
)


@pytest.fixture
def shop(store, store_url):
    upgrade(store_url, BEFORE)
    with store.writing() as session:
        for number, customer, phone, taken_at in ORDERS:
            row = {"number": number, "key": str(number), "customer": customer, "folded": fold(customer)}
            row |= {"phone": phone, "digits": digits_of(phone), "taken_at": taken_at}
            session.execute(INSERT, row)
    return store


def test_each_name_with_each_number_becomes_a_customer_with_their_orders(shop, store_url):
    upgrade(store_url)  # all the way: today's queries ask for today's columns
    with shop.reading() as session:
        found = {row.phones: row for name in ("hart", "bo lind") for row in find_customers(session, name)}
        orders = {
            (found[phones].name, *phones): [past.number for past in past_orders(session, found[phones].id)]
            for phones in found
        }
        latest = {phones[0]: int(row.last_order_at.timestamp()) for phones, row in found.items()}
    assert orders == {
        ("WILHELMINA HÁRT", "+44 1632 960101"): [1002, 1001],
        ("Wilhelmina Hart", "01632 960999"): [1003],
        ("Jory Hart", "01632 960101"): [1004],
        ("Bo Lind", "60101"): [1008],
        ("Bo Lind", "960101"): [1009],
    }
    assert latest["+44 1632 960101"] == 300


def test_orders_without_a_phone_or_a_name_get_none(shop, store_url):
    upgrade(store_url, AFTER)
    with shop.reading() as session:
        none = session.scalars(text("SELECT number FROM orders WHERE customer_id IS NULL ORDER BY number")).all()
    assert none == [1005, 1006, 1007]


def test_going_back_keeps_every_order(shop, store_url):
    kept = text("SELECT number, customer, phone, taken_at FROM orders ORDER BY number")
    upgrade(store_url, AFTER)
    downgrade(store_url, BEFORE)
    with shop.reading() as session:
        assert [tuple(row) for row in session.execute(kept)] == list(ORDERS)
    upgrade(store_url, AFTER)
    shop.check()
