"""The holding area below the load of a day, on the pages that show it."""

import re

import pytest

from app.actions.records.orders import load_order
from tests.actions.builders import at
from tests.numbers_in import numbers_in
from tests.places.answers import answer_states
from tests.places.marks import marks, text_of
from tests.places.payloads import payload, take, words
from tests.places.test_query_budget import counted

SHOWING = ["/bench/staff", "/office/bench"]
TOO_FULL = "<td>24, too full</td>"


def _area(page):
    """Whether the holding area fits or is too full, and the hours that are drawn; None without a picture."""
    found = re.search(r'data-holding-area="(\w+)"\s+data-hours="(\w+)"', page)
    return found.groups() if found else None


@pytest.fixture
def small(client):
    client.post("/office/settings", data={"holding_area_room": "20"})


@pytest.mark.parametrize("address", SHOWING)
def test_two_dozen_are_too_many_for_twenty(client, small, address):
    take(client)
    page = client.get(address).text
    assert _area(page) == ("over", "load")
    assert re.search(r"13:\d\d [a-z]+ 14:00: [a-z ]*24 [a-z]+, [a-z ]+ 20", words(page))
    assert TOO_FULL in page


@pytest.mark.parametrize("address", SHOWING)
def test_the_night_and_a_closed_day_have_their_holding_area(client, small, database, address):
    """Filled on Saturday, and collected on Monday; nobody is there on Sunday."""
    nobody = {"day": "2026-11-22", "from-day-0": "9:00", "to-day-0": "10:00", "staff-day-0": "0"}
    assert client.post("/office/bench/days", data=nobody).status_code == 303
    number = take(client)
    with database.writing() as session:
        order = load_order(session, number)
        order.ready_by = order.batches[0].ready_by = at(9, days=2)
        order.batches[0].started_at = at(13)
        order.batches[0].filled_at = at(14)
    page = client.get(address).text
    assert _area(page) == ("over", "day")
    assert TOO_FULL in page
    sunday = client.get(f"{address}?day=2026-11-22").text
    assert 'data-load="none"' in sunday
    assert _area(sunday) == ("over", "day")
    assert sunday.count(TOO_FULL) == 24


@pytest.mark.parametrize("address", SHOWING)
def test_where_nobody_said_how_much_room_there_is_nothing_is_said(client, address):
    take(client)
    assert _area(client.get(address).text) is None


def test_a_day_that_has_passed_and_a_change_that_is_only_tried_say_nothing(client, small):
    take(client)
    assert _area(client.get("/office/bench?day=2026-11-20").text) is None
    assert _area(client.get("/bench/staff?from=9&to=12&by=1").text) is None


def test_the_holding_area_costs_one_statement_whatever_waits(client, app):
    """The version that says whether what is kept of it still holds comes with that of the shop."""
    take(client)
    without = _statements(app, client)
    client.post("/office/settings", data={"holding_area_room": "20"})
    assert _statements(app, client) == without + 1
    take(client, client_key="key-2", bench_override="They come by turns.")
    assert _statements(app, client) == without + 1


def _statements(app, client):
    app.forget()
    with counted(app) as statements:
        client.get("/bench/staff")
    return len(statements)


def test_the_counter_says_before_an_order_is_promised_that_it_is_too_full(client, small):
    said = client.post("/counter/draft", data=payload(fix="work")).text
    sentence = re.search(r'data-topic="holding area"[^>]*>([^<]*)</p>', said)[1]
    assert "room for 20" in sentence
    assert re.search(r"13:\d\d to 14:00", sentence)


def test_it_only_warns(client, small):
    page = client.post("/counter/draft", data=payload(fix="work")).text
    assert '<input type="hidden" name="stock_override"' in page
    assert client.post("/counter/orders", data=payload()).status_code == 303


def test_an_order_that_is_changed_is_not_counted_twice(client):
    client.post("/office/settings", data={"holding_area_room": "30"})
    number = take(client)
    changed = client.get(f"/counter/orders/{number}/change").text
    assert (marks(changed, "topics"), marks(changed, "topic")) == (["holding area"], [])
    assert 30 in numbers_in(text_of(changed, "fine"))
    again = client.post("/counter/draft", data=payload(fix="work")).text
    assert marks(again, "topic") == ["holding area"]
    assert 48 in numbers_in(text_of(again, "answer"))


def test_the_counter_says_nothing_where_nobody_said_how_much_room_there_is(client):
    page = client.post("/counter/draft", data=payload(fix="work")).text
    assert answer_states(page)
    assert marks(page, "topics") == [""]
