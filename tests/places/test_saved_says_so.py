"""What was saved says so: the page that follows has one sentence about it, and only once."""

import pytest

from tests.places.marks import marks
from tests.places.payloads import CALLED_OFF, Page, payload, take


def _messages(client, address):
    return marks(client.get(address).text, "flash").count("message")


def _order_form(client, number):
    return Page(client.get(f"/counter/orders/{number}/change").text).values


def _customer_form(client):
    values = Page(client.get("/counter/customers/1").text).values
    return {name: value for name, value in values.items() if name.startswith(("shown_", "name", "phones-"))}


PRESSES = {
    "an order changed": lambda client, number: (f"orders/{number}/change", _order_form(client, number)),
    "an order cancelled": lambda client, number: (f"orders/{number}/cancel", CALLED_OFF),
    "a customer": lambda client, _: ("customers/1", _customer_form(client) | {"name": "Mina Hart"}),
}


@pytest.mark.parametrize("press", PRESSES)
def test_what_was_saved_is_said_once(client, number, press):
    path, sent = PRESSES[press](client, number)
    answer = client.post(f"/counter/{path}", data=sent)
    assert answer.status_code == 303
    assert _messages(client, answer.location) == 1
    assert _messages(client, answer.location) == 0


def test_a_new_order_that_was_sent_twice_is_said_once(client):
    number = take(client)
    assert take(client) == number
    assert _messages(client, f"/counter/orders/{number}") == 1


def test_a_refused_order_is_not_said_to_be_saved(client):
    page = client.post("/counter/orders", data=payload(lines__0__quantity="0"))
    assert page.status_code == 422
    assert not marks(page.text, "flash")


def test_an_order_that_is_open_again_is_said_once(client, number):
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    client.get("/counter/")
    address = client.post(f"/counter/orders/{number}/reopen").location
    assert _messages(client, address) == 1


def test_a_new_name_is_said_once(client):
    assert _messages(client, client.post("/staff/new", data={"name": "Isolde"}).location) == 1
