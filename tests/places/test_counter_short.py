"""What the counter says of the shelves: short or not, what is there instead, and why it is taken all the same."""

import pytest
from sqlalchemy import select

from app.actions.orders.overrides import NO_STOCK_OVERRIDE
from app.actions.records.catalogue import load_catalogue
from app.store.models import Order
from tests.actions.stock_helpers import lot
from tests.begun import begins_with
from tests.places.answers import answer_states, having, offers
from tests.places.payloads import CALLED_OFF, Page, payload, take

LATEX = "11 in latex"
TEAL = {"lines__0__colours": "teal"}


def _fill_shelf(database):
    with database.writing() as session:
        for count, colour in ((20, "teal"), (90, "navy")):
            lot(session, count, colour)


template = begins_with("shelf", _fill_shelf)


@pytest.fixture
def shelf(database):
    """Some are counted."""


def _short(text):
    return [attrs["data-short"] for attrs in having(Page(text), "data-topic") if attrs["data-short"]]


def _draft(client, **changes):
    return client.post("/counter/draft", data=payload(**TEAL | changes)).text


def test_where_nothing_is_counted_nothing_is_said(client):
    text = _draft(client)
    assert answer_states(text)["short"] == ""
    assert having(Page(text), "data-topic") == []


def test_it_says_what_is_short_and_what_is_there_instead(client, shelf):
    text = _draft(client)
    assert answer_states(text)["short"] == "stock"
    assert _short(text) == [f"4 teal {LATEX}"]
    assert {"substitute-0-4-20 teal, 4 navy", "substitute-0-4-navy"} <= {*offers(text)}


def test_an_alternative_says_whether_it_leaves_the_shortage(client, shelf):
    """Treated, the 24 are still teal, of which 20 are there; larger balloons are not counted."""
    offered = offers(_draft(client, lasts_until__day="2026-11-22", lasts_until__hour="10:00"))
    left = {key: attrs["data-still-short"] for key, attrs in offered.items() if "data-still-short" in attrs}
    assert (left["alternative-0-treat"], left["alternative-0-foil"]) == ("yes", "no")


def test_with_enough_in_stock_no_alternative_leaves_a_shortage(client, shelf):
    offered = offers(
        _draft(client, lines__0__quantity="20", lasts_until__day="2026-11-22", lasts_until__hour="10:00")
    )
    assert {attrs["data-still-short"] for attrs in offered.values()} == {"no"}


def test_what_is_there_is_said_with_what_stays_free(client, shelf):
    text = _draft(client, lines__0__quantity="15")
    assert _short(text) == []
    assert f"5 teal {LATEX}" in Page(text).by_id["fine"]["text"]


def test_an_offer_that_is_no_longer_one_changes_nothing(client, shelf):
    page = Page(_draft(client, fix="substitute-0-4-gold"))
    assert page.values["lines-0-colours"] == "teal"


def test_a_press_puts_the_other_colour_into_the_line_and_a_second_takes_it_back(client, shelf):
    page = Page(_draft(client, fix="substitute-0-4-navy"))
    assert page.values["lines-0-colours"] == "navy"
    back = Page(client.post("/counter/draft", data=page.values | {"fix": "undo"}).text)
    assert back.values["lines-0-colours"] == "teal"


def test_without_a_reason_it_is_refused_at_its_field_and_nothing_typed_is_lost(client, shelf):
    answer = client.post("/counter/orders", data=payload(**TEAL))
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem("stock_override") == NO_STOCK_OVERRIDE.sentence
    assert page.describes("stock_override")
    assert page.values["notes"] == "Ring the bell twice."


def test_with_a_reason_it_is_taken_and_the_reason_stands_on_its_page_and_tickets(client, shelf):
    number = take(client, **TEAL, stock_override="Four come from the other shop.")
    why = "Four come from the other shop."
    assert why in client.get(f"/counter/orders/{number}").text
    assert why in client.get(f"/bench/batches/{number}-1").text
    assert Page(client.get(f"/counter/orders/{number}/change").text).values["stock_override"] == why


def test_an_order_that_is_changed_does_not_compete_with_itself(client, shelf):
    number = take(client, **TEAL | {"lines__0__quantity": "20"})
    text = client.get(f"/counter/orders/{number}/change").text
    assert _short(text) == []
    assert f"0 teal {LATEX}" in Page(text).by_id["fine"]["text"]


def test_a_cancelled_order_is_opened_again_with_a_reason_when_others_have_them_now(client, database, shelf):
    number = take(client, **TEAL | {"lines__0__quantity": "20"})
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    take(client, **TEAL | {"lines__0__quantity": "20", "client_key": "other"})
    refused = client.post(f"/counter/orders/{number}/reopen", data={})
    assert refused.status_code == 422
    assert Page(refused.text).problem("stock_override") == NO_STOCK_OVERRIDE.sentence
    again = client.post(f"/counter/orders/{number}/reopen", data={"stock_override": "They swap."})
    assert again.status_code == 303
    with database.reading() as session:
        order = session.scalars(select(Order).where(Order.number == number)).one()
        assert (order.state, order.stock_override) == ("open", "They swap.")
        assert load_catalogue(session).balloon_types[4].name == LATEX


def test_a_colour_that_the_shelves_never_had_is_asked_about(client, shelf):
    text = _draft(client, lines__0__colours="purpel")
    assert _short(text) == [f"24 purpel {LATEX}"]
    assert having(Page(text), "data-unknown-colour")
    assert not having(Page(_draft(client)), "data-unknown-colour")
