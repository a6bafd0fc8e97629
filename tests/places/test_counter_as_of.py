"""An order as it stood at any earlier moment."""

import re

import pytest

from tests.places.payloads import payload, take, words


@pytest.fixture
def number(client):
    """Taken with one note, changed to another, then cancelled."""
    number = take(client, notes="Ring the bell twice.")
    client.post(f"/counter/orders/{number}/change", data=payload(version="1", notes="Blue door."))
    client.post(f"/counter/orders/{number}/cancel", data={"version": "2"})
    return number


def _moments(client, number):
    page = client.get(f"/counter/orders/{number}").text
    return re.findall(rf'href="(/counter/orders/{number}\?as_of=\d+)"', page)


def test_each_line_of_the_history_leads_to_the_order_as_it_stood_then(client, number):
    taken, changed, cancelled = (words(client.get(moment).text) for moment in _moments(client, number))
    assert "As it stood on Sat 21 Nov, 07:00, before later changes. somebody: taken." in taken
    assert "Notes Ring the bell twice." in taken
    assert "Customer Wilhelmina Hart" in taken
    assert "Line 1 24 × 11 in latex in 12 red, 12 white, helium" in taken
    assert "Notes Blue door." in changed
    assert "State open" in changed
    assert "State cancelled" in cancelled
    assert "after the latest change" in cancelled


def test_what_stood_then_has_a_way_back_and_nothing_to_press(client, number):
    page = client.get(_moments(client, number)[0]).text
    main = page[page.index("<main") : page.index("</main>")]
    assert f'href="/counter/orders/{number}"' in main
    assert "<form" not in main
    assert "Blue door." not in main


def test_a_moment_of_another_order_is_not_shown_as_of_this_one(client, number):
    other = take(client, client_key="key-2", customer="Somebody Else")
    entry = _moments(client, number)[0].rpartition("=")[2]
    answer = client.get(f"/counter/orders/{other}?as_of={entry}")
    assert answer.status_code == 404
    assert f"The history of order {other} has no such moment." in words(answer.text)
    assert "Wilhelmina" not in words(answer.text)


@pytest.mark.parametrize("as_of", ["x", "0", "-1", "²", "9" * 40, "9" * 5000])
def test_a_moment_that_never_was_is_told(client, number, as_of):
    answer = client.get(f"/counter/orders/{number}", query_string={"as_of": as_of})
    assert answer.status_code == 404
    assert f"The history of order {number} has no such moment." in words(answer.text)
