"""The office's forms: settings, hours. Bad input has its sentence and half-saves nothing."""

import pytest

from app.actions.records.shop import load_opening, setting_values
from app.actions.shop.office import RISKY_ABOVE_SAFE
from app.places.office.hours import NO_OPENING_HOURS
from app.places.office.settings_form import AMOUNT_OUT_OF_RANGE
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.setting import TEXT_TOO_LONG, WHOLE_NUMBER
from app.quoting.settings.zones import DID_YOU_MEAN, UNKNOWN_ZONE
from app.web.wording.forms import (
    CHOOSE_DATE,
    choose_from,
    enter_amount,
    enter_both_times_or_none,
    enter_date,
    enter_number,
)
from tests.places.payloads import Page, words
from tests.places.settings_pages import ADDRESS_OF, ADDRESSES

SETTING = {setting.key: setting for setting in SETTINGS}


def _values(database):
    with database.reading() as session:
        return setting_values(session)


def _opening(database):
    with database.reading() as session:
        return load_opening(session)


def test_settings_are_saved_and_open_orders_recalculated(client, database, number):
    before = client.get("/bench.json?day=2026-11-21").json["batches"][0]["not_before"]
    answer = client.post(
        "/office/settings", data={"shop_celsius": "26", "name": "The Test Shop"}, follow_redirects=True
    )
    assert _values(database)["shop_celsius"] == 26
    assert client.get("/bench.json?day=2026-11-21").json["batches"][0]["not_before"] > before
    assert f"Order {number}" not in words(answer.text)


def test_an_order_that_can_no_longer_be_made_is_named(client, number):
    sent = {"tag_g": "50", "effects_seen": str(number)}
    answer = client.post("/office/settings", data=sent, follow_redirects=True)
    assert f"Order {number}" in words(answer.text)
    assert "11 in latex" in words(answer.text)


@pytest.mark.parametrize(
    ("key", "typed", "sentence"),
    [
        *(
            ("shop_celsius", typed, enter_number(-10, 45, "°C"))
            for typed in ("90", "warm", "", "nan", "inf", "-inf", "1e999", "20°")
        ),
        ("step_minutes", "7.5", WHOLE_NUMBER.format(range=SETTING["step_minutes"].range_words)),
        *(
            ("treat_minor", typed, enter_amount(2))
            for typed in ("free", "", "-1", "0.505", "NaN", "Infinity", "1e999", "99999999")
        ),
        ("treat_minor", "10000.01", AMOUNT_OUT_OF_RANGE.format(low="0.00", high="10000.00")),
        ("zone", "Londn", UNKNOWN_ZONE.format(typed="Londn", right=DID_YOU_MEAN.format(zone="Europe/London"))),
        ("name", "x" * 61, TEXT_TOO_LONG.format(most=60)),
        ("caution", "x" * 1001, TEXT_TOO_LONG.format(most=1000)),
        ("clock", "13 h", choose_from(SETTING["clock"].labels.values())),
        ("lower_limit_percent", "97", RISKY_ABOVE_SAFE),
    ],
)
def test_a_wrong_setting_has_its_problem_and_nothing_is_saved(client, database, key, typed, sentence):
    before = _values(database)
    answer = client.post("/office/settings", data={key: typed, "journey_celsius": "25"})
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem(key) == sentence
    assert page.links == [key]
    assert page.describes(key)
    assert page.values["journey_celsius"] == "25"
    if key != "clock":
        assert page.values[key] == typed
    assert _values(database) == before


def test_a_decimal_comma_is_read_as_a_point_and_what_was_not_changed_stays(client, database):
    before = _values(database)
    client.post("/office/settings", data={"tag_g": "1,25", "treat_minor": "0,75"})
    assert _values(database) == before | {"tag_g": 1.25, "treat_minor": 75}


def test_every_setting_stands_on_the_page_with_its_meaning(client):
    pages = {address: client.get(address).text for address in ADDRESSES}
    for setting in SETTINGS:
        text = pages[ADDRESS_OF[setting.key]]
        assert setting.key in Page(text).by_id
        assert setting.meaning.replace("\u00a0", " ") in words(text)


def test_sending_the_settings_page_untouched_changes_nothing(client, database):
    before = _values(database)
    typed = {}
    for address in ADDRESSES:
        values = Page(client.get(address).text).values
        typed |= {key: value for key, value in values.items() if key in before}
    assert typed.keys() == {setting.key for setting in SETTINGS}
    # A choice without a value of its own sends its text, which the page shows selected.
    typed |= {setting.key: str(before[setting.key]) for setting in SETTINGS if setting.choices}
    assert client.post("/office/settings", data=typed).status_code == 303
    assert _values(database) == before


def test_the_week_is_saved(client, database):
    week = {f"opens-{day}": "09:30" for day in range(6)} | {f"closes-{day}": "5 pm" for day in range(6)}
    assert client.post("/office/hours", data=week | {"opens-6": "", "closes-6": ""}).status_code == 303
    opening = _opening(database)
    assert set(opening.week) == set(range(6))
    assert f"{opening.week[0][0]:%H:%M} {opening.week[0][1]:%H:%M}" == "09:30 17:00"


@pytest.mark.parametrize(
    ("opens", "closes", "field", "sentence"),
    [
        ("9", "", "closes-2", enter_both_times_or_none(8, 18)),
        ("early", "18", "opens-2", enter_both_times_or_none(8, 18)),
    ],
)
def test_wrong_hours_have_their_problem_and_nothing_is_saved(client, database, opens, closes, field, sentence):
    before = _opening(database).week
    week = {f"{end}-{day}": hour for day in range(7) for end, hour in (("opens", "10:00"), ("closes", "16:00"))}
    answer = client.post("/office/hours", data=week | {"opens-2": opens, "closes-2": closes})
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem("day-2") == sentence
    assert page.links == [field]
    assert page.describes("day-2")
    assert (page.values["opens-2"], page.values["opens-3"]) == (opens, "10:00")
    assert _opening(database).week == before


def test_a_shop_is_open_on_one_day_at_least(client, database):
    answer = client.post("/office/hours", data={})
    assert answer.status_code == 422
    assert NO_OPENING_HOURS in Page(answer.text).summary
    assert len(_opening(database).week) == 7


def test_an_exception_is_saved_and_removed(client, database):
    client.post("/office/hours/exceptions", data={"day": "2026-12-24", "opens": "8", "closes": "13"})
    client.post("/office/hours/exceptions", data={"day": "2026-12-25", "opens": "", "closes": ""})
    assert [hours and hours[1].hour for _, hours in sorted(_opening(database).exceptions.items())] == [13, None]
    client.post("/office/hours/exceptions/2026-12-25/remove")
    assert len(_opening(database).exceptions) == 1


@pytest.mark.parametrize(
    ("sent", "field", "sentence"),
    [
        ({"day": ""}, "day", CHOOSE_DATE),
        ({"day": "Christmas"}, "day", enter_date("28/11")),
        ({"day": "2026-12-24", "opens": "13", "closes": ""}, "closes", enter_both_times_or_none(8, 18)),
    ],
)
def test_a_wrong_exception_has_its_problem(client, database, sent, field, sentence):
    answer = client.post("/office/hours/exceptions", data=sent)
    assert answer.status_code == 422
    assert Page(answer.text).problem(field) == sentence
    assert Page(answer.text).values["day"] == sent["day"]
    assert not _opening(database).exceptions
