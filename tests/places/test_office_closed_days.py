"""Closed days and holidays: added, repeated, removed; on the weeks ahead and in the answer with their reason."""

import pytest

from app.actions.records.shop import load_opening
from app.planning.closed_days import ClosedDays
from app.store.models import OfficeChange
from tests.places.page_states import states, values, wrong_fields
from tests.places.payloads import Page, payload

PAGE = "/office/hours/closed"
CHRISTMAS = {"first": "2026-12-24", "last": "2026-12-26", "reason": "Christmas", "yearly": "y"}


def _closed(database):
    with database.reading() as session:
        return load_opening(session).closed


def test_a_range_is_saved_with_its_reason_and_shown(client, database):
    assert client.post(PAGE, data=CHRISTMAS).status_code == 303
    (saved,) = _closed(database)
    assert isinstance(saved, ClosedDays)
    assert (f"{saved.first}", f"{saved.last}", saved.reason, saved.yearly) == (
        "2026-12-24",
        "2026-12-26",
        "Christmas",
        True,
    )
    (row,) = states(client.get(PAGE).text, "first")
    assert (row["data-first"], row["data-last"], row["data-yearly"]) == ("2026-12-24", "2026-12-26", "yes")


def test_a_blank_last_day_is_the_first(client, database):
    client.post(PAGE, data={"first": "2026-12-24", "reason": "Stocktaking"})
    (saved,) = _closed(database)
    assert (saved.first, saved.yearly) == (saved.last, False)


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"last": "2026-12-23"}, "last"),
        ({"last": "2027-03-24"}, "last"),
        ({"reason": " "}, "reason"),
        ({"reason": "x" * 61}, "reason"),
        ({"first": "someday"}, "first"),
    ],
)
def test_what_is_wrong_has_its_sentence_and_is_not_saved(client, database, sent, field):
    refused = client.post(PAGE, data=CHRISTMAS | sent)
    assert (refused.status_code, wrong_fields(refused.text)) == (422, [field])
    assert _closed(database) == ()


def test_the_same_days_are_not_saved_twice(client, database):
    client.post(PAGE, data=CHRISTMAS)
    refused = client.post(PAGE, data=CHRISTMAS | {"reason": "Again"})
    assert (refused.status_code, wrong_fields(refused.text)) == (422, ["first"])
    assert len(_closed(database)) == 1


def test_they_are_removed_and_both_stand_in_the_history(client, database):
    client.post(PAGE, data=CHRISTMAS)
    assert client.post(f"{PAGE}/1/remove").status_code == 303
    assert client.post(f"{PAGE}/1/remove").status_code == 404
    assert _closed(database) == ()
    with database.reading() as session:
        changes = [entry.changes[0][2:] for entry in session.query(OfficeChange).order_by(OfficeChange.id)]
    assert [(bool(was), bool(now)) for was, now in changes] == [(False, True), (True, False)]


def test_an_order_that_gets_worse_is_named_first(client, database, number):
    days = {"first": "2026-11-20", "last": "2026-11-21", "reason": "Flood"}
    asked = client.post(PAGE, data=days)
    assert (asked.status_code, values(asked.text, "effects")) == (422, [str(number)])
    assert _closed(database) == ()
    assert client.post(PAGE, data=days | {"effects_seen": str(number)}).status_code == 303


def test_a_check_saves_nothing(client, database):
    assert client.post(PAGE, data=CHRISTMAS | {"check": "y"}).status_code == 200
    assert _closed(database) == ()


def test_the_weeks_ahead_say_why_the_shop_is_closed(client):
    client.post(PAGE, data={"first": "2026-11-24", "last": "2026-11-25", "reason": "Stocktaking"})
    page = client.get("/counter/weeks").text
    closed = [one["data-day"] for one in states(page, "day") if one.get("data-closed") == "yes"]
    assert values(page, "closed-because") == ["Stocktaking", "Stocktaking"]
    assert {"2026-11-24", "2026-11-25"} <= {*closed}


def test_the_answer_says_why_the_shop_is_closed_when_the_order_leaves(client):
    client.post(PAGE, data={"first": "2026-11-21", "reason": "Stocktaking"})
    closed = Page(client.post("/counter/draft", data=payload()).text).by_id["closed"]
    assert closed["data-parts"] == "main"
    assert "Stocktaking" in closed["text"]
