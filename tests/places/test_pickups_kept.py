"""What the pick-ups keep drawn: never longer than it shows things as they are, and nothing that belongs to one
answer."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import event

from app.web.htmx import MAX_PAGE_AGE
from app.web.marks import SIGN
from tests.places.marks import marks
from tests.places.payloads import take

OWN = re.compile(r'name="(?:csrf_token|client_key)" value="[^"]*"|data-version="[^"]*"|v=[0-9.]+|content="[^"]*"')


def _page(client, **asked):
    return client.get("/pickups/", query_string=asked).text


def _shown(text):
    """The page without what belongs to one answer."""
    return OWN.sub("", text)


@pytest.fixture
def filled(client, number):
    """An order whose balloons are filled, so that its card has forms."""
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "filled", "sure": "yes"})
    return number


@pytest.fixture
def drawings(app):
    """How often the lines of orders were read, which no kept page asks for."""
    asked = []

    def count(_connection, _cursor, statement, *_more):
        if "FROM order_line" in statement:
            asked.append(statement)

    event.listen(app.database.engine, "before_cursor_execute", count)
    return asked


def test_the_same_page_is_read_from_the_store_once(client, number, drawings):
    first, second = _page(client), _page(client)
    assert len(drawings) == 1
    assert _shown(first) == _shown(second)
    assert marks(second, "leaves-at")


def test_each_answer_has_keys_and_a_token_of_its_own(client, filled):
    first, second = (set(re.findall(r'name="client_key" value="([^"]+)"', _page(client))) for _ in range(2))
    assert first
    assert not first & second


def test_no_mark_leaves_with_an_answer(client, filled, app):
    pages = [_page(one) for one in (client, client, app.test_client())]
    tokens = [set(re.findall(r'name="csrf_token" value="([^"]+)"', page)) for page in pages]
    assert [len(found) for found in tokens] == [1, 1, 1]
    assert len(set.union(*tokens)) == 3
    assert all(SIGN not in page for page in pages)


def test_keys_of_one_answer_differ_and_a_tap_with_one_counts(client, filled):
    keys = re.findall(r'name="client_key" value="([^"]+)"', _page(client))
    assert len(set(keys)) == len(keys)
    sent = {"step": "weighted", "part": "main", "client_key": keys[0]}
    assert client.post(f"/pickups/orders/{filled}/steps", data=sent).status_code == 303
    assert "true" in marks(_page(client), "done")


def test_a_tap_a_new_order_and_a_setting_are_seen_at_once(client, number, drawings):
    _page(client)
    sent = {"act": "finish", "client_key": "filled", "sure": "yes"}
    client.post(f"/bench/batches/{number}-1/taps", data=sent)
    assert "filled" in marks(_page(client), "state")
    second = take(client, client_key="second", bench_override="By turns.")
    assert str(second) in _page(client)
    client.post("/office/settings", data={"clock": "12 h"})
    assert "2:00 pm" in _page(client)
    assert len(drawings) >= 3


def test_the_clock_ends_it(client, now, number, drawings):
    _page(client)
    now.tick(MAX_PAGE_AGE)
    _page(client)
    assert len(drawings) == 2
    now.tick(timedelta(hours=12))
    assert "true" in marks(_page(client), "late")


def test_each_day_is_kept_by_itself_and_what_is_asked_for_one_device_is_not(client, number, drawings):
    today, tomorrow = _page(client), _page(client, day="2026-11-22")
    assert marks(today, "leaves-at")
    assert not marks(tomorrow, "leaves-at")
    asked = _page(client, later=str(number), at="soon")
    assert "soon" in asked or asked != today
    assert _shown(_page(client)) == _shown(today)
