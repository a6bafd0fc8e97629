"""The empty order form is kept drawn: each answer has a key of its own, and what has changed is drawn again."""

import re
from datetime import timedelta

import pytest

from app.actions.records.catalogue import load_catalogue
from app.places.counter import routes
from app.store.models import BalloonTypeRow
from tests.actions.builders import bouquet
from tests.actions.photographs import photo_of_design
from tests.places.payloads import Page, take


@pytest.fixture
def drawn(monkeypatch):
    """The forms that were drawn."""
    forms = []

    def counted(form, *more, show=routes._shown):
        forms.append(form)
        return show(form, *more)

    monkeypatch.setattr(routes, "_shown", counted)
    return forms


def _new_design(database):
    with database.writing() as session:
        bouquet(session, load_catalogue(session))


def _new_photo(database):
    with database.writing() as session:
        photo_of_design(session, bouquet(session, load_catalogue(session)).id)


def _new_name(database):
    with database.writing() as session:
        session.query(BalloonTypeRow).first().name = "11 in pearl"


CHANGES = {"a design": _new_design, "a photo of a design": _new_photo, "a name": _new_name}


def test_it_is_drawn_once_and_each_has_a_key_of_its_own(client, drawn):
    first, second = (Page(client.get("/counter/").text).values for _ in range(2))
    assert len(drawn) == 1
    assert first["client_key"] != second["client_key"]
    assert {**first, "client_key": ""} == {**second, "client_key": ""}
    numbers = {take(client, client_key=page["client_key"]) for page in (first, second, first)}
    assert len(numbers) == 2


def test_with_a_day_in_the_address_it_is_another(client):
    pages = {day: Page(client.get(f"/counter/?day={day}").text).values for day in ("2026-12-01", "2026-12-02")}
    assert len({page["event_start-day"] for page in pages.values()}) == 2


@pytest.mark.parametrize("what", CHANGES)
def test_what_has_changed_is_drawn_again(what, client, database, app, drawn):
    before = client.get("/counter/").text
    CHANGES[what](database)
    after = client.get("/counter/").text
    assert len(drawn) == 2
    assert _without_keys(after) != _without_keys(before)
    app.forget()
    assert _without_keys(after) == _without_keys(client.get("/counter/").text)


def test_the_next_day_has_a_form_of_its_own(client, now, drawn):
    client.get("/counter/")
    now.tick(timedelta(days=1))
    client.get("/counter/")
    assert len(drawn) == 2


def test_an_order_of_somebody_else_does_not_change_it(client, drawn):
    client.get("/counter/")
    take(client, client_key="another-order")
    drawn.clear()
    client.get("/counter/")
    assert drawn == []


def _without_keys(text):
    """The page without the key of its form, and without the token, which is masked anew in each answer."""
    return re.sub(r"[\w-]{54}==", "", text.replace(Page(text).values["client_key"], ""))
