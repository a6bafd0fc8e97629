"""What the page of an article says of a lot stands beside it; what is wrong has the focus, and stays typed."""

from datetime import UTC, datetime

import pytest

from tests.places.payloads import Page, words
from tests.places.test_office_stock import KIND, act, lots, receive


def test_what_was_done_with_a_lot_is_said_beside_it_once(client):
    receive(client)
    act(client, 1, "count", count="88", why="torn", seen="100.0", counts="0")
    said = "88 Red of 100, received Fri 20 Nov Red 11 in latex of Fri 20 Nov: 88 now."
    assert said in words(client.get(KIND).text)
    assert said not in words(client.get(KIND).text)


def test_what_was_done_with_a_lot_that_is_listed_no_more_is_said_above(client):
    receive(client, day="2026-03-01")
    act(client, 1, "count", count="0", why="gone", seen="100.0", counts="0")
    page = client.get(KIND).text
    assert "lot-1" not in page
    assert "Red 11 in latex of Sun 1 Mar: 0 now." in words(page)


def test_what_came_of_a_stale_page_stays_typed(client):
    receive(client)
    act(client, 1, "count", count="88", why="torn", seen="100.0", counts="0")
    answer = Page(act(client, 1, "count", count="77", why="more torn", seen="100.0", counts="0").text)
    assert (answer.values["count-1"], answer.values["why-1"]) == ("77", "more torn")
    assert (answer.values["seen-1"], answer.values["counts-1"]) == ("88.0", "1")
    assert _focused(answer) == [""]


def _focused(page):
    """The field that each summary names for the focus; nothing where the summary itself takes it."""
    return [a["data-focus"] for _, a in page.tags if "data-focus" in a]


@pytest.mark.parametrize("used", ["-1", "", "0", "91", "1e9", "nan"])
def test_what_cannot_be_used_up_is_told_with_what_can_be(client, database, used):
    receive(client, count="90")
    act(client, 1, "aside", **{"why-aside": "practice"})
    answer = Page(act(client, 1, "use", used=used, seen="90.0", **{"why-used": "weights"}).text)
    assert answer.problem("used-1") == "A number above 0 and up to 90, please."
    assert _focused(answer) == ["used-1"]
    assert lots(database) == [(1, "Red", 90)]


def test_the_first_wrong_field_has_the_focus(client):
    assert _focused(Page(receive(client, colour="x" * 41, day="2027-01-01").text)) == ["colour"]
    receive(client)
    assert _focused(Page(act(client, 1, "count", count="x", why="", seen="100.0").text)) == ["count-1"]
    assert _focused(Page(client.get(KIND).text)) == []


def test_a_move_of_another_year_says_so(client, now):
    receive(client)
    assert "Sat 21 Nov, " in words(client.get(KIND).text)
    now.move_to(datetime(2027, 1, 4, 9, tzinfo=UTC))
    assert "Sat 21 Nov 2026, " in words(client.get(KIND).text)
