"""A shop whose clock has am and pm: no page shows a time in 24 hours, and what a field shows is read back."""

import re
from datetime import time

import pytest

from app.actions.records.shop import load_roster, load_shop
from app.store.models import HistoryEntry
from tests.places.payloads import Page, take, words

OF_24_HOURS = re.compile(r"\b(?:0[0-9]|1[3-9]|2[0-3]):[0-5][0-9]\b")
EXCEPTION = {"day": "2026-12-24", "opens": "9", "closes": "2:30 pm"}
SHIFT = {"from-0-0": "8:00 am", "to-0-0": "12:30 pm", "staff-0-0": "2"}


@pytest.fixture
def client(client):
    assert client.post("/office/settings", data={"clock": "12 h"}).status_code == 303
    return client


@pytest.mark.parametrize(
    "address",
    [
        *("/office/hours", "/office/bench", "/office/settings", "/office/orders/{0}", "/pickups/"),
        *("/bench", "/bench/staff", "/bench/batches/{0}-1", "/bench/fetch-list"),
        *("/counter/", "/counter/orders", "/counter/orders/{0}", "/counter/orders/{0}/change"),
        "/counter/orders/{0}/confirmation",
    ],
)
def test_no_page_shows_a_time_in_24_hours(client, address):
    number = take(client)
    assert client.post("/office/hours/exceptions", data=EXCEPTION).status_code == 303
    assert client.post("/office/bench", data=SHIFT).status_code == 303
    answer = client.get(address.format(number))
    assert answer.status_code == 200
    page = Page(answer.text)
    attributes = [attrs.get(name) for _, attrs in page.tags for name in ("placeholder", "aria-label")]
    shown = [words(answer.text), *page.values.values(), *attributes]
    assert OF_24_HOURS.findall("\n".join(text for text in shown if text)) == []


def test_opening_hours_are_read_as_they_are_shown(client, database):
    before = _shop(database).opening.week
    week = client.get("/office/hours").text.partition("</form>\n<section")[0]
    shown = Page(week).values
    assert (shown["opens-0"], shown["closes-0"]) == ("8:00 am", "6:00 pm")
    assert client.post("/office/hours", data=shown | {"closes-0": "2:30 pm"}).status_code == 303
    assert _shop(database).opening.week == before | {0: (time(8), time(14, 30))}


def test_an_exception_is_shown_by_the_shops_clock(client):
    client.post("/office/hours/exceptions", data=EXCEPTION)
    page = client.get("/office/hours").text
    assert "9:00 am to 2:30 pm" in words(page)


def test_shifts_are_read_as_they_are_shown(client, database):
    client.post("/office/bench", data=SHIFT)
    shown = Page(client.get("/office/bench").text).values
    assert (shown["from-0-0"], shown["to-0-0"]) == ("8:00 am", "12:30 pm")
    assert client.post("/office/bench", data=shown).status_code == 303
    with database.reading() as session:
        (shift,) = load_roster(session, load_shop(session).opening).week[0]
    assert (shift.start, shift.end, shift.staff) == (time(8), time(12, 30), 2)


def test_an_order_is_read_as_its_form_shows_it(client, database):
    number = take(client)
    shown = Page(client.get(f"/counter/orders/{number}/change").text).values
    assert shown["hand_over_time-hour"] == "2:00 pm"
    assert client.post(f"/counter/orders/{number}/change", data=shown | {"notes": "Side door."}).status_code == 303
    assert _changes(database) == [["notes", "Ring the bell twice.", "Side door."]]


def test_the_history_keeps_the_clock_with_which_it_was_written(client, database):
    number = take(client)
    client.post("/office/settings", data={"clock": "24 h"})
    shown = Page(client.get(f"/counter/orders/{number}/change").text).values
    client.post(f"/counter/orders/{number}/change", data=shown | {"lasts_until-hour": "18:00"})
    with database.reading() as session:
        first, last = session.query(HistoryEntry).order_by(HistoryEntry.id)
        assert dict(first.description)["must float until"] == "Sat 21 Nov 2026 7:00 pm"
        assert dict(last.description)["must float until"] == "Sat 21 Nov 2026 18:00"
    assert _changes(database) == [["must float until", "Sat 21 Nov 2026 19:00", "Sat 21 Nov 2026 18:00"]]


def _shop(database):
    with database.reading() as session:
        return load_shop(session)


def _changes(database):
    with database.reading() as session:
        return session.query(HistoryEntry).order_by(HistoryEntry.id.desc()).first().changes
