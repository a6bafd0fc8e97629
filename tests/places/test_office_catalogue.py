"""The office's forms: settings, hours. Bad input has its sentence and half-saves nothing."""

import pytest

from app.actions.records.shop import load_opening, setting_values
from app.quoting.settings.all_settings import SETTINGS
from tests.places.payloads import Page, words


def _values(database):
    with database.reading() as session:
        return setting_values(session)


def _opening(database):
    with database.reading() as session:
        return load_opening(session)


def test_settings_are_kept_and_open_orders_worked_out_anew(client, database, number):
    before = client.get("/bench.json?day=2026-11-21").json["batches"][0]["not_before"]
    answer = client.post(
        "/office/settings", data={"shop_celsius": "26", "name": "The Test Shop"}, follow_redirects=True
    )
    assert "The settings are kept. All open orders were worked out anew." in words(answer.text)
    assert _values(database)["shop_celsius"] == 26
    assert client.get("/bench.json?day=2026-11-21").json["batches"][0]["not_before"] > before
    assert f"Order {number}" not in words(answer.text)


def test_an_order_that_can_no_longer_be_kept_is_named(client, number):
    answer = client.post("/office/settings", data={"load_g": "50"}, follow_redirects=True)
    assert f"Order {number} is promised worse now, ring the customer: 11 in latex does not rise" in words(
        answer.text
    )


@pytest.mark.parametrize(
    ("key", "typed", "sentence"),
    [
        ("shop_celsius", "90", "-10 to 45 °C"),
        ("shop_celsius", "warm", "is not a number"),
        *(("shop_celsius", typed, "-10 to 45 °C") for typed in ("", "nan", "inf", "-inf", "1e999", "20°")),
        ("step_minutes", "7.5", "whole number"),
        ("treat_minor", "free", "An amount"),
        *(("treat_minor", typed, "mount") for typed in ("", "-1", "0.505", "NaN", "Infinity", "1e999", "99999999")),
        ("treat_minor", "10000.01", "from 0.00 to 10000.00"),
        ("zone", "Mars/Olympus", "Not a time zone"),
        ("name", "x" * 61, "At most 60"),
        ("caution", "x" * 1001, "At most 1000"),
        ("clock", "13 h", "One of these"),
        ("lower_limit_percent", "97", "below safe"),
    ],
)
def test_a_wrong_setting_has_its_sentence_and_nothing_is_kept(client, database, key, typed, sentence):
    before = _values(database)
    answer = client.post("/office/settings", data={key: typed, "journey_celsius": "25"})
    page = Page(answer.text)
    assert answer.status_code == 422
    assert sentence in page.problem(key)
    assert page.describes(key)
    assert page.values["journey_celsius"] == "25"
    if key != "clock":
        assert page.values[key] == typed
    assert _values(database) == before


def test_a_decimal_comma_is_read_as_a_point_and_what_was_not_changed_stays(client, database):
    before = _values(database)
    client.post("/office/settings", data={"load_g": "1,25", "treat_minor": "0,75"})
    assert _values(database) == before | {"load_g": 1.25, "treat_minor": 75}


def test_every_setting_stands_on_the_page_with_its_meaning(client):
    text = client.get("/office/").text
    page, said = Page(text), words(text)
    for setting in SETTINGS:
        assert setting.key in page.by_id
        assert setting.meaning in said


def test_sending_the_settings_page_untouched_changes_nothing(client, database):
    before = _values(database)
    values = Page(client.get("/office/").text).values
    typed = {key: value for key, value in values.items() if key in before}
    client.get("/office/")
    # A choice without a value of its own sends its text, which the page shows selected.
    typed |= {setting.key: str(before[setting.key]) for setting in SETTINGS if setting.choices}
    assert client.post("/office/settings", data=typed).status_code == 303
    assert _values(database) == before


def test_the_week_is_kept(client, database):
    week = {f"opens-{day}": "09:30" for day in range(6)} | {f"closes-{day}": "5 pm" for day in range(6)}
    assert client.post("/office/hours", data=week | {"opens-6": "", "closes-6": ""}).status_code == 303
    opening = _opening(database)
    assert set(opening.week) == set(range(6))
    assert f"{opening.week[0][0]:%H:%M} {opening.week[0][1]:%H:%M}" == "09:30 17:00"


@pytest.mark.parametrize(
    ("opens", "closes", "sentence"),
    [
        ("9", "8", "close after it opens"),
        ("9", "", "Two hours"),
        ("early", "18", "Two hours"),
        ("9", "9", "close after"),
    ],
)
def test_hours_that_cannot_be_have_their_sentence_and_nothing_is_kept(client, database, opens, closes, sentence):
    before = _opening(database).week
    week = {f"{end}-{day}": hour for day in range(7) for end, hour in (("opens", "10:00"), ("closes", "16:00"))}
    answer = client.post("/office/hours", data=week | {"opens-2": opens, "closes-2": closes})
    page = Page(answer.text)
    assert answer.status_code == 422
    assert sentence in page.problem("day-2")
    assert page.describes("day-2")
    assert (page.values["opens-2"], page.values["opens-3"]) == (opens, "10:00")
    assert _opening(database).week == before


def test_a_shop_is_open_on_one_day_at_least(client, database):
    assert client.post("/office/hours", data={}).status_code == 422
    assert len(_opening(database).week) == 7


def test_other_hours_on_one_date_are_kept_and_removed(client, database):
    client.post("/office/hours/exceptions", data={"day": "2026-12-24", "opens": "8", "closes": "13"})
    client.post("/office/hours/exceptions", data={"day": "2026-12-25", "opens": "", "closes": ""})
    assert [hours and hours[1].hour for _, hours in sorted(_opening(database).exceptions.items())] == [13, None]
    client.post("/office/hours/exceptions/2026-12-25/remove")
    assert len(_opening(database).exceptions) == 1


@pytest.mark.parametrize(
    ("sent", "field", "sentence"),
    [
        ({"day": ""}, "day", "Which day"),
        ({"day": "Christmas"}, "day", "is not a date"),
        ({"day": "2026-12-24", "opens": "13", "closes": "8"}, "closes", "close after"),
    ],
)
def test_an_exception_that_cannot_be_has_its_sentence(client, database, sent, field, sentence):
    answer = client.post("/office/hours/exceptions", data=sent)
    assert answer.status_code == 422
    assert sentence in Page(answer.text).problem(field)
    assert Page(answer.text).values["day"] == sent["day"]
    assert not _opening(database).exceptions


def test_the_health_page_names_library_and_journal(client):
    said = words(client.get("/office/health").text)
    assert "SQLite 3." in said
    assert "Every order that was acknowledged is on the disk" in said or "rollback journal" in said
