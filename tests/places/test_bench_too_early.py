"""The ticket asks before a batch is started too early, and keeps nothing until somebody is sure."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import func, select

from app.store.models import HistoryEntry, Tap
from tests.numbers_in import numbers_in
from tests.places.marks import marks
from tests.places.payloads import Page

PART = {"HX-Request-Type": "partial"}


@pytest.fixture
def ticket(number):
    """At seven it is too early for what must be up until seven in the evening."""
    return f"/bench/batches/{number}-1"


def _tap(client, ticket, act="start", headers=None, **more):
    return client.post(f"{ticket}/taps", data={"act": act, "client_key": "first"} | more, headers=headers or {})


def _saved(database):
    with database.reading() as session:
        return [session.scalar(select(func.count()).select_from(table)) for table in (Tap, HistoryEntry)]


def _state(client):
    return client.get("/bench.json").json["batches"][0]["state"]


@pytest.mark.parametrize(
    ("act", "more", "count"),
    [
        ("start", {}, []),
        ("fill", {"count": "5"}, [5]),
        ("finish", {}, [24]),
    ],
)
def test_too_early_it_asks_with_the_chances_and_keeps_nothing(client, database, ticket, act, more, count):
    answer = _tap(client, ticket, act, **more)
    assert answer.status_code == 422
    question = re.search(r'data-early="sinks".*?<p>(.*?)</p>', answer.text, re.DOTALL)[1]
    now, planned = (float(number) for number in re.findall(r"([\d.]+) ?%", question))
    assert now < 95 <= planned
    assert numbers_in(Page(answer.text).by_id["tap-sure"]["text"]) == count
    assert _saved(database) == [0, 1]
    assert _state(client) == "early"


def test_the_question_is_a_page_and_for_htmx_the_ticket_alone(client, ticket):
    page, part = _tap(client, ticket), _tap(client, ticket, headers=PART)
    assert page.text.lstrip().startswith("<!doctype html>")
    assert part.text.lstrip().startswith("<article")
    assert page.status_code == part.status_code == 422
    assert "tap-sure" in part.text


@pytest.mark.parametrize(("act", "more"), [("start", {}), ("fill", {"count": "5"}), ("finish", {})])
def test_its_button_sends_the_same_tap_with_a_fresh_key_and_begins(client, number, ticket, act, more):
    question = Page(_tap(client, ticket, act, **more).text).values
    sent = {name: question[name] for name in ("act", "client_key", "sure", *more)}
    assert sent == {"act": act, "client_key": sent["client_key"], "sure": "yes"} | more
    assert sent["client_key"] != "first"
    for _ in range(2):
        assert client.post(f"{ticket}/taps", data=sent).status_code == 303
    assert _state(client) == ("filled" if act == "finish" else "started")
    history = client.get(f"/counter/orders/{number}").text
    assert len(marks(history, "was")) == 1
    assert re.search(rf"{number}-1[^<]*: <del>\d+%</del> → <ins>\d+%</ins>", history)


def test_the_history_names_whoever_was_sure(client, number, ticket):
    client.post("/staff/new", data={"name": "Isolde"})
    client.post("/staff/", data={"name": "Isolde"})
    _tap(client, ticket, sure="yes")
    assert marks(client.get(f"/counter/orders/{number}").text, "who").count("Isolde") == 3


def test_nobody_is_asked_within_the_window(client, now, ticket):
    now.tick(timedelta(hours=4))
    assert _tap(client, ticket).status_code == 303
    assert _state(client) == "started"


@pytest.mark.parametrize("sure", ["", "no", "YES"])
def test_only_a_yes_is_one(client, database, ticket, sure):
    assert _tap(client, ticket, sure=sure).status_code == 422
    assert _saved(database)[0] == 0


def test_the_ticket_looked_at_again_no_longer_asks(client, ticket):
    _tap(client, ticket)
    page = Page(client.get(ticket).text)
    assert "tap-sure" not in page.by_id
    assert "tap-start" in page.by_id
