"""A gift or card on each balloon: typed on a line or in a design, shown on the ticket and wherever the line is."""

import re

import pytest
from sqlalchemy import select

from app.store.models import DesignRow, OrderBatch, OrderLine
from tests.places.payloads import Page, payload, take, words

GIFT = {"lines__0__hung_g": "1.5"}
DESIGN = {
    "name": "Message bouquet",
    "pricing": "set",
    "price_minor": "26.00",
    "parts-0-balloon_type": "4",
    "parts-0-quantity": "9",
    "parts-0-gas": "helium",
    "parts-0-hung_g": "2.5",
    "parts-1-balloon_type": "12",
    "parts-1-quantity": "1",
    "parts-1-gas": "helium",
    "build": "loose",
}


def _loads(database):
    with database.reading() as session:
        return session.execute(select(OrderBatch.hung_g, OrderBatch.load_g).order_by(OrderBatch.id)).all()


def _ticket(client, number):
    return client.get(f"/bench/batches/{number}-1").text


def test_a_gift_is_saved_with_its_line_and_shown_on_the_ticket(client, database):
    number = take(client, **GIFT)
    assert _loads(database) == [(1.5, 2.25)]
    assert re.findall(r'data-load="([^"]+)"', _ticket(client, number)) == ["2.25"]
    assert "2.25 g" in words(_ticket(client, number))


def test_what_hangs_as_usual_is_not_said(client, usual):
    assert "data-load" not in _ticket(client, usual)


@pytest.mark.parametrize("address", ["/counter/orders/{}", "/counter/orders/{}/confirmation"])
def test_the_line_says_what_hangs_on_each(client, address):
    page = client.get(address.format(take(client, **GIFT))).text
    (row,) = re.findall(r'<tr[^>]*data-line="0".*?</tr>', page, re.DOTALL)
    assert "1.5 g" in words(row)


def _fold(text):
    return Page(text).by_id["more-line-0"]


def test_its_fold_is_open_only_where_something_is_typed(client):
    empty, filled = (
        client.post("/counter/draft", data=payload(fix="add-line", **more)).text for more in ({}, GIFT)
    )
    assert "open" not in _fold(empty)
    assert "open" in _fold(filled)
    assert Page(filled).values["lines-0-hung_g"] == "1.5"


@pytest.mark.parametrize("typed", ["heavy", "-1", "501", "20"])
def test_what_it_cannot_be_is_said_at_its_field(client, database, typed):
    """An 11-inch cannot lift 20 g."""
    answer = client.post("/counter/orders", data=payload(lines__0__hung_g=typed))
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem("lines-0-hung_g")
    assert "open" in page.by_id["more-line-0"]
    assert page.values["lines-0-hung_g"] == typed
    assert _loads(database) == []


def test_it_is_changed_and_taken_off_again(client, database):
    number = take(client, **GIFT)
    page = Page(client.get(f"/counter/orders/{number}/change").text)
    assert page.values["lines-0-hung_g"] == "1.5"
    sent = page.values | {"lines-0-hung_g": ""}
    assert client.post(f"/counter/orders/{number}/change", data=sent).status_code == 303
    assert _loads(database) == [(0.0, 0.75)]
    assert "1.5 g on each" in words(client.get(f"/counter/orders/{number}").text)  # its history


def test_two_batches_of_one_answer_are_told_apart(client):
    second = {
        "lines-1" + name.removeprefix("lines-0"): value
        for name, value in payload(**GIFT).items()
        if name[:7] == "lines-0"
    }
    answer = client.post("/counter/draft", data=payload(fix="check") | second)
    details = words(answer.text).partition(" Details ")[2]
    assert details.count("1.5 g on each") == 1


def test_a_design_has_it_at_its_parts(client, database):
    assert client.post("/office/designs/new", data=DESIGN).location == "/office/designs"
    with database.reading() as session:
        (row,) = session.scalars(select(DesignRow))
        assert [part.hung_g for part in row.parts] == [2.5, 0.0]
    values = Page(client.get(f"/office/designs/{row.id}").text).values
    assert (values["parts-0-hung_g"], values["parts-1-hung_g"]) == ("2.5", "")
    assert client.post(f"/office/designs/{row.id}", data=values | {"parts-1-hung_g": "1"}).status_code == 303
    take(
        client,
        lines__0__what=f"design:{row.id}",
        lines__0__quantity="1",
        lines__0__colours="red",
        accepted_risk="Fine.",
    )
    assert [hung_g for hung_g, _ in _loads(database)] == [2.5, 1.0]
    with database.reading() as session:
        assert [line.hung_g for line in session.scalars(select(OrderLine))] == [0.0]


@pytest.mark.parametrize("typed", ["heavy", "-1", "501", "20"])
def test_what_a_part_cannot_carry_is_said_at_its_field(client, typed):
    answer = client.post("/office/designs/new", data=DESIGN | {"parts-0-hung_g": typed})
    assert answer.status_code == 422
    assert Page(answer.text).problem("parts-0-hung_g")


def test_a_row_with_nothing_but_a_gift_is_asked_what_it_is(client):
    for address, sent, field in (
        ("/counter/orders", payload() | {"lines-1-hung_g": "2"}, "lines-1-what"),
        ("/office/designs/new", DESIGN | {"parts-2-hung_g": "2"}, "parts-2-balloon_type"),
    ):
        answer = client.post(address, data=sent)
        assert answer.status_code == 422
        assert Page(answer.text).problem(field)
