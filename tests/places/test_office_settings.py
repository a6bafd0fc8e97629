"""The settings by subject: an index, short pages, a search, and what a refused save shows."""

import re

import pytest

from app.actions.records.shop import setting_values
from app.places.office.found_pages import PAGES
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.subjects import SUBJECTS
from tests.places.page_states import states, values, wrong_fields
from tests.places.payloads import Page
from tests.places.settings_pages import ADDRESS_OF

SETTINGS_PAGE = "/office/settings"


def test_the_index_leads_to_every_subject_the_everyday_ones_first(client):
    text = client.get(SETTINGS_PAGE).text
    assert values(text, "subject") == [one.key for one in SUBJECTS]
    unfolded = text[: text.index('<details class="expert"')]
    assert values(unfolded, "subject") == [one.key for one in SUBJECTS if one.is_everyday]
    links = {attrs.get("href") for _, attrs in Page(text).tags}
    assert {*ADDRESS_OF.values()} <= links


@pytest.mark.parametrize("subject", SUBJECTS, ids=lambda one: one.key)
def test_a_page_has_the_settings_of_its_subject_each_with_source_and_effect(client, subject):
    text = client.get(f"{SETTINGS_PAGE}/{subject.key}").text
    page, own = Page(text), [one for one in SETTINGS if one.subject == subject]
    assert own
    assert {one.key for one in own} == {one.key for one in SETTINGS} & page.by_id.keys()
    assert len(states(text, "effect")) == len(own)
    sources = [attrs for _, attrs in page.tags if attrs.get("class") == "source"]
    assert len(sources) == len(own)


def test_a_subject_that_is_not_there_is_not_found(client):
    assert client.get(f"{SETTINGS_PAGE}/shoes").status_code == 404


def test_a_page_saves_its_own_settings_and_comes_back(client, database):
    drawn = Page(client.get(f"{SETTINGS_PAGE}/costs").text).values
    saved = client.post(SETTINGS_PAGE, data=drawn | {"hour_minor": "15,50"})
    assert (saved.status_code, saved.location) == (303, f"{SETTINGS_PAGE}/costs")
    with database.reading() as session:
        assert setting_values(session)["hour_minor"] == 1550


def test_pages_of_two_subjects_do_not_stand_in_each_others_way(client):
    shop, costs = (Page(client.get(f"{SETTINGS_PAGE}/{one}").text).values for one in ("shop", "costs"))
    assert client.post(SETTINGS_PAGE, data=shop | {"shop_phone": "1"}).status_code == 303
    assert client.post(SETTINGS_PAGE, data=costs | {"hour_minor": "9"}).status_code == 303


def test_a_refused_save_shows_the_page_of_what_was_sent(client):
    refused = client.post(SETTINGS_PAGE, data={"zone": "Mars", "name": "Pier Balloons"})
    assert (refused.status_code, wrong_fields(refused.text)) == (422, ["zone"])
    assert values(refused.text, "subject") == ["shop"]
    assert Page(refused.text).values["name"] == "Pier Balloons"


@pytest.mark.parametrize(
    ("typed", "key"),
    [("VAT", "tax_percent"), ("time zone", "zone"), ("the van", "journey_celsius"), ("setup", "set_up_minor")],
)
def test_the_search_leads_to_the_field(client, typed, key):
    text = client.get(SETTINGS_PAGE, query_string={"q": typed}).text
    assert key in values(text, "found-setting")
    assert f"{ADDRESS_OF[key]}#{key}" in {attrs.get("href") for _, attrs in Page(text).tags}


@pytest.mark.parametrize(
    ("typed", "address"),
    [
        ("opening hours", "/office/hours"),
        ("holiday", "/office/hours/closed"),
        ("employees", "/office/bench"),
        ("backup", "/office/backups"),
        ("rental", "/office/rentals"),
        ("photos", "/office/designs"),
        ("low stock", "/office/stock/buying"),
        ("import", "/office/balloon-types/prices"),
    ],
)
def test_the_search_also_leads_to_the_pages_of_the_office(client, typed, address):
    text = client.get(SETTINGS_PAGE, query_string={"q": typed}).text
    (shown,) = re.findall(r"data-found-pages.*?</ul>", text, re.DOTALL)
    assert f'href="{address}"' in shown


@pytest.mark.parametrize("page", PAGES, ids=lambda one: one.endpoint)
def test_each_page_that_the_search_knows_is_there(client, page):
    text = client.get(SETTINGS_PAGE, query_string={"q": page.title}).text
    (address,) = re.findall(rf'<a href="([^"]*)">{re.escape(page.title)}</a> <span', text)
    assert client.get(address).status_code == 200


OWNER_TYPES = (
    *("VAT", "opening hours", "deposit", "ribbon", "delivery", "language", "temperature", "holiday", "wages"),
    *("discount", "telephone", "receipt", "helium", "set-up fee", "summer time", "hire", "dark", "inches"),
    *("gas bottle", "bank holiday", "employees", "late", "cancel", "price list", "profit"),
)


@pytest.mark.parametrize("typed", OWNER_TYPES)
def test_what_an_owner_would_type_finds_something(client, typed):
    text = client.get(SETTINGS_PAGE, query_string={"q": typed}).text
    assert values(text, "found-setting") or values(text, "found-pages")


@pytest.mark.parametrize(("typed", "zone"), [("London", "Europe/London"), ("new york", "America/New_York")])
def test_a_city_alone_is_its_time_zone(client, database, typed, zone):
    assert client.post(SETTINGS_PAGE, data={"zone": typed}).status_code == 303
    with database.reading() as session:
        assert setting_values(session)["zone"] == zone


@pytest.mark.parametrize("typed", ["Louisville", "Londn", "Europe"])
def test_a_city_of_two_zones_and_what_is_no_city_is_asked_about(client, typed):
    assert wrong_fields(client.post(SETTINGS_PAGE, data={"zone": typed}).text) == ["zone"]


def test_a_new_currency_is_shown_by_an_amount(client):
    saved = client.post(SETTINGS_PAGE, data={"currency_symbol": "€"}, follow_redirects=True)
    (flashed,) = re.findall(r'class="flash[^>]*>(.*?)</', saved.text, re.DOTALL)
    assert "€12.50" in flashed
    other = client.post(SETTINGS_PAGE, data={"tag_g": "2"}, follow_redirects=True)
    assert "€12.50" not in other.text


def test_whole_words_come_before_beginnings(client):
    found = values(client.get(SETTINGS_PAGE, query_string={"q": "late"}).text, "found-setting")
    assert found.index("soon_minutes") < found.index("light_hours_sun")


def test_the_search_says_that_nothing_was_found_and_nothing_where_nothing_was_typed(client):
    assert values(client.get(SETTINGS_PAGE, query_string={"q": "giraffe"}).text, "found") == ["0"]
    assert values(client.get(SETTINGS_PAGE, query_string={"q": " - "}).text, "found") == []


def test_htmx_gets_the_found_settings_alone(client):
    part = client.get(f"{SETTINGS_PAGE}?q=helium", headers={"HX-Request-Type": "partial"}).text
    assert "<html" not in part
    assert "helium_m3_minor" in values(part, "found-setting")
