"""The history of settings: who, when, what from and to; and a value that is put back."""

import re

import pytest

from app.actions.records.shop import setting_values
from tests.places.page_states import states
from tests.places.payloads import Page

SETTINGS, HISTORY = "/office/settings", "/office/settings/history"


@pytest.fixture
def ann(client):
    client.post("/staff/new", data={"name": "Ann"})
    client.post("/staff/", data={"name": "Ann"})
    return client


def _saved(database, key):
    with database.reading() as session:
        return setting_values(session)[key]


def _shown(client):
    return [
        (one["data-setting"], one["data-who"], one["data-was"], one["data-now"])
        for one in states(client.get(HISTORY).text, "setting")
    ]


def _back(client, change, key, **sent):
    return client.post(f"{HISTORY}/{change}/{key}", data=sent)


def test_it_has_who_and_what_from_and_to_the_newest_first(ann):
    assert "data-empty" in ann.get(HISTORY).text
    ann.post(SETTINGS, data={"treat_minor": "0.75", "spares_percent": "5", "clock": "12 h"})
    ann.post("/office/timing", data={"gas": "helium", "balloon_type": "4", "fills": "10", "seconds": "60"})
    shown = _shown(ann)
    assert [row[:2] for row in shown] == [
        ("helium_l_per_s", "Ann"),
        ("treat_minor", "Ann"),
        ("spares_percent", "Ann"),
        ("clock", "Ann"),
    ]
    assert shown[1][3] == "£0.75"
    assert shown[2][2:] == ("0%", "5%")


def test_each_press_is_named_by_what_is_seen_on_it_and_then_by_its_setting(ann):
    ann.post(SETTINGS, data={"treat_minor": "0.75", "spares_percent": "5"})
    buttons = re.findall(r'<button[^>]*aria-label="([^"]*)"[^>]*>([^<]+)</button>', ann.get(HISTORY).text)
    assert len({name for name, _ in buttons}) == len(buttons) == 2
    assert all(name.startswith(f"{seen} ") for name, seen in buttons)


def test_one_press_puts_a_value_back_which_is_itself_in_the_history(ann, database):
    ann.post(SETTINGS, data={"spares_percent": "5"})
    ann.post(SETTINGS, data={"spares_percent": "9"})
    assert _back(ann, 1, "spares_percent").status_code == 303
    assert _saved(database, "spares_percent") == 0
    assert _shown(ann)[0][2:] == ("9%", "0%")


def test_an_old_page_puts_nothing_back_over_what_was_changed_since(client, database):
    client.post(SETTINGS, data={"spares_percent": "5"})
    drawn = Page(client.get(HISTORY).text).values["drawn"]
    client.post(SETTINGS, data={"spares_percent": "9"})
    refused = _back(client, 1, "spares_percent", drawn=drawn)
    assert (refused.status_code, _saved(database, "spares_percent")) == (409, 9)


def test_it_says_first_which_orders_get_worse(client, database, number):
    client.post(SETTINGS, data={"calibration": "14", "effects_seen": str(number)})
    client.post(SETTINGS, data={"calibration": "24"})
    assert _back(client, 2, "calibration").status_code == 422
    assert _saved(database, "calibration") == 24
    assert _back(client, 2, "calibration", effects_seen=str(number)).status_code == 303


@pytest.mark.parametrize(("change", "key"), [(9, "clock"), (1, "clock"), (1, "shoe_size")])
def test_what_is_no_change_of_the_history_is_not_found(client, change, key):
    client.post(SETTINGS, data={"spares_percent": "5"})
    assert _back(client, change, key).status_code == 404


def test_a_value_that_no_longer_fits_is_refused(client, database):
    client.post(SETTINGS, data={"lower_limit_percent": "60"})
    client.post(SETTINGS, data={"lower_limit_percent": "50", "certainty_percent": "55"})
    assert _back(client, 2, "lower_limit_percent").status_code == 422
    assert _saved(database, "lower_limit_percent") == 50
