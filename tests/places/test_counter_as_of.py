"""An order as it stood at any earlier moment."""

import html
import re

import pytest

from tests.numbers_in import numbers_in
from tests.places.marks import marked
from tests.places.payloads import CALLED_OFF, payload, take, words


@pytest.fixture
def number(client):
    """Taken with one note, changed to another, then cancelled."""
    number = take(client, notes="Ring the bell twice.")
    client.post(f"/counter/orders/{number}/change", data=payload(version="1", notes="Blue door."))
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF | {"version": "2"})
    return number


def _moments(client, number):
    page = client.get(f"/counter/orders/{number}").text
    return re.findall(rf'href="(/counter/orders/{number}\?as_of=\d+)"', page)


def _facts(page):
    """What the page says of the order then, by name."""
    found = re.findall(r'data-fact="([^"]+)"><dt>[^<]*</dt><dd>([^<]*)</dd>', page)
    return {what: html.unescape(value) for what, value in found}


def test_each_line_of_the_history_leads_to_the_order_as_it_stood_then(client, number):
    pages = [client.get(moment).text for moment in _moments(client, number)]
    saved, changed, cancelled = (_facts(page) for page in pages)
    acts = [(note["data-act"], note["data-latest"]) for page in pages for note in marked(page, "latest")]
    assert acts == [("saved", "no"), ("changed", "no"), ("cancelled", "yes")]
    assert (saved["notes"], saved["customer"]) == ("Ring the bell twice.", "Wilhelmina Hart")
    assert numbers_in(saved["line 1"]) == [24, 11, 12, 12]
    assert all(value in saved["line 1"] for value in ("24 × 11 in latex", "12 red, 12 white", "helium"))
    assert (changed["notes"], changed["state"]) == ("Blue door.", "open")
    assert cancelled["state"] == "cancelled"


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
    assert "Wilhelmina" not in words(answer.text)


@pytest.mark.parametrize("as_of", ["x", "0", "-1", "²", "9" * 40, "9" * 5000])
def test_a_moment_that_never_was_is_told(client, number, as_of):
    answer = client.get(f"/counter/orders/{number}", query_string={"as_of": as_of})
    assert answer.status_code == 404
    assert marked(answer.text, "fact") == []
