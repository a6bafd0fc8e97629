"""What was done with a lot is shown beside it; what is wrong has the focus, and stays typed."""

import re
from datetime import UTC, datetime

import pytest

from app.actions.stock.lots import up_to
from tests.places.page_states import wrong_fields
from tests.places.payloads import Page
from tests.places.test_office_stock import TYPE, act, lots, receive


def test_what_was_done_with_a_lot_is_said_beside_it_once(client):
    receive(client)
    act(client, 1, "count", count="88", why="torn", seen="100.0", counts="0")
    assert [_messages(client.get(TYPE).text) for _ in range(2)] == [["lot-1"], []]


def test_what_was_done_with_a_lot_that_is_listed_no_more_is_said_above(client):
    receive(client, day="2026-03-01")
    act(client, 1, "count", count="0", why="gone", seen="100.0", counts="0")
    page = client.get(TYPE).text
    assert "lot-1" not in Page(page).by_id
    assert _messages(page) == ["lot-message"]
    assert " 0 " in Page(page).by_id["lot-message"]["text"]


def test_what_came_of_a_stale_page_stays_typed(client):
    receive(client)
    act(client, 1, "count", count="88", why="torn", seen="100.0", counts="0")
    answer = Page(act(client, 1, "count", count="77", why="more torn", seen="100.0", counts="0").text)
    assert (answer.values["count-1"], answer.values["why-1"]) == ("77", "more torn")
    assert (answer.values["seen-1"], answer.values["counts-1"]) == ("88.0", "1")
    assert _focused(answer) == [""]


def _messages(text):
    """Where the page says what was done with a lot: in the lot, or above all lots. Read from the tags' order."""
    found, lot = [], ""
    for _, attrs in Page(text).tags:
        lot = attrs["id"] if (attrs.get("id") or "").startswith("lot-") and "data-on-hand" in attrs else lot
        if attrs.get("id") == "lot-message":
            found.append("lot-message")
        if "lot-done" in (attrs.get("class") or "").split():
            found.append(lot)
    return found


def _focused(page):
    """The field that each summary names for the focus; nothing where the summary itself takes it."""
    return [a["data-focus"] for _, a in page.tags if "data-focus" in a]


@pytest.mark.parametrize("used", ["-1", "", "0", "91", "1e9", "nan"])
def test_what_cannot_be_used_up_is_refused_with_what_can_be(client, database, used):
    receive(client, count="90")
    act(client, 1, "aside", **{"why-aside": "practice"})
    text = act(client, 1, "use", used=used, seen="90.0", **{"why-used": "weights"}).text
    assert wrong_fields(text) == ["used-1"]
    assert Page(text).problem("used-1") == up_to(90)
    assert _focused(Page(text)) == ["used-1"]
    assert lots(database) == [(1, "Red", 90)]


def test_the_first_wrong_field_has_the_focus(client):
    assert _focused(Page(receive(client, colour="x" * 41, day="2027-01-01").text)) == ["colour"]
    receive(client)
    assert _focused(Page(act(client, 1, "count", count="x", why="", seen="100.0").text)) == ["count-1"]
    assert _focused(Page(client.get(TYPE).text)) == []


def test_a_change_of_another_year_shows_its_year(client, now):
    receive(client)
    assert "2026" not in _first_time(client.get(TYPE).text)
    now.move_to(datetime(2027, 1, 4, 9, tzinfo=UTC))
    assert "2026" in _first_time(client.get(TYPE).text)


def _first_time(text):
    """What the page shows as the time of the latest change."""
    return re.search(r"<time [^>]*>(.*?)</time>", text, re.DOTALL)[1]
