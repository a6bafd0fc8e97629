"""The office's pages of supplies: each sort is asked for what it has."""

import pytest
from sqlalchemy import select

from app.actions.catalogue.names import NAME_LENGTH, NAME_TAKEN
from app.places.office.supplies import CHOOSE_SORT
from app.store.models import SupplyRow
from app.web.wording.forms import choose_from, enter_amount, enter_number
from tests.places.page_states import values, wrong_fields
from tests.places.payloads import Page, words

ASKED = {
    "weight": {"grams"},
    "ribbon": {"grams"},
    "plush": {"width_cm"},
    "bag": {"width_cm"},
    "treatment": set(),
    "modelling": set(),
    "rental": {"deposit"},
    "other": {"unit"},
}
BEAR = {"sort": "plush", "name": "Bear", "width_cm": "11", "pack_size": "12", "pack_cost": "51.00", "price": "9.50"}
TAPE = {"sort": "other", "name": "Tape", "unit": "metre", "pack_size": "66", "pack_cost": "1.80", "price": ""}


def _row(database, name):
    with database.reading() as session:
        return session.scalar(select(SupplyRow).where(SupplyRow.name == name))


def _values(row):
    return {name: value for name, value in vars(row).items() if name[0] != "_"}


@pytest.mark.parametrize(("sort", "more"), ASKED.items())
def test_each_sort_is_asked_for_what_it_has(client, sort, more):
    asked = Page(client.get(f"/office/supplies/new?sort={sort}").text).values
    always = {"q", "sort", "name", "pack_size", "pack_cost", "price"}
    assert asked.keys() == always | more
    assert asked["sort"] == sort


@pytest.mark.parametrize("address", ["/office/supplies/new", "/office/supplies/new?sort=lorry"])
def test_its_sort_is_asked_first(client, address):
    answer = client.get(address)
    page = Page(answer.text)
    links = [attrs["href"] for tag, attrs in page.tags if tag == "a" and "/supplies/new?sort=" in attrs["href"]]
    assert [link.rpartition("=")[2] for link in links] == list(ASKED)
    assert "name" not in page.values


def test_without_a_sort_nothing_is_saved(client, database):
    answer = client.post("/office/supplies/new", data=BEAR | {"sort": "lorry"})
    assert answer.status_code == 422
    assert wrong_fields(answer.text) == ["sort"]
    assert Page(answer.text).problem("sort") == CHOOSE_SORT
    assert _row(database, "Bear") is None


def test_a_new_supply_stands_among_the_others_with_its_cost(client, database):
    assert client.post("/office/supplies/new", data=BEAR).status_code == 303
    row = _row(database, "Bear")
    assert (row.unit, row.width_cm, row.pack_minor, row.price_minor, row.grams) == ("piece", 11, 5100, 950, None)
    listed = Page(client.get("/office/supplies").text).by_id[f"supply-{row.id}"]["text"].split()
    assert listed[0] == "Bear"
    assert {"11", "12", "£4.25", "£9.50"} <= set(listed)


def test_in_a_country_with_a_decimal_comma_a_figure_is_read_as_it_is_shown(client, database):
    client.post("/office/settings", data={"locale": "en_DE"})
    comma = BEAR | {"width_cm": "11,125", "pack_size": "1.200", "pack_cost": "1.051,50", "price": "9,50"}
    assert client.post("/office/supplies/new", data=comma).status_code == 303
    row = _row(database, "Bear")
    assert (row.width_cm, row.pack_size, row.pack_minor, row.price_minor) == (11.125, 1200, 105_150, 950)
    shown = Page(client.get(f"/office/supplies/{row.id}").text).values
    assert client.post(f"/office/supplies/{row.id}", data=shown).status_code == 303
    assert _values(_row(database, "Bear")) == _values(row)


def test_what_costs_less_than_a_penny_is_shown_finer(client):
    """450 m for £3.60: 0.8 of a penny a metre."""
    page = client.get("/office/supplies").text
    assert "£0.008" not in page
    with_id = next(a["href"] for tag, a in Page(page).tags if tag == "a" and _named(page, a, "Curling ribbon"))
    client.post(with_id, data={"pack_cost": "3.60"})
    assert "450 m £0.008 –" in words(client.get("/office/supplies").text).replace("\xa0", " ")


def _named(page, link, name):
    return f'href="{link.get("href")}">{name}' in page


@pytest.mark.parametrize(
    ("sent", "field", "typed", "sentence"),
    [
        (BEAR, "name", "", NAME_LENGTH),
        (BEAR, "name", "Arch frame", NAME_TAKEN.format(name="Arch frame")),
        (BEAR, "width_cm", "", enter_number(0.5, 500, "cm")),
        (BEAR, "width_cm", "0", enter_number(0.5, 500, "cm")),
        (BEAR, "pack_size", "none", enter_number(0.01, 100_000).replace("100000", "100,000")),
        (BEAR, "pack_size", "nan", enter_number(0.01, 100_000).replace("100000", "100,000")),
        (BEAR, "pack_cost", "-3", enter_amount(2)),
        (BEAR, "price", "9.505", enter_amount(2)),
        (TAPE, "unit", "furlong", choose_from(["pieces", "m", "mL"])),
    ],
)
def test_what_cannot_be_has_its_sentence_and_is_not_lost(client, database, sent, field, typed, sentence):
    answer = client.post("/office/supplies/new", data=sent | {field: typed})
    page = Page(answer.text)
    assert answer.status_code == 422
    assert wrong_fields(answer.text) == [field]
    assert page.problem(field) == sentence
    assert page.describes(field)
    chosen = {name: text for name, text in (sent | {field: typed}).items() if text != "furlong"}
    assert {name: page.values[name] for name in chosen} == chosen
    assert _row(database, sent["name"]) is None


def test_several_mistakes_are_shown_together(client):
    answer = client.post("/office/supplies/new", data=BEAR | {"width_cm": "wide", "price": "dear"})
    assert wrong_fields(answer.text) == ["width_cm", "price"]


@pytest.mark.parametrize("sent", [BEAR, TAPE])
def test_its_page_sent_untouched_changes_nothing(client, database, sent):
    client.post("/office/supplies/new", data=sent)
    before = _values(_row(database, sent["name"]))
    address = f"/office/supplies/{before['id']}"
    assert client.post(address, data=Page(client.get(address).text).values).status_code == 303
    assert _values(_row(database, sent["name"])) == before


def test_a_mistake_on_its_page_has_its_sentence_and_is_not_lost(client, database):
    client.post("/office/supplies/new", data=BEAR)
    number = _row(database, "Bear").id
    answer = client.post(f"/office/supplies/{number}", data={"width_cm": "wide", "name": "Large bear"})
    page = Page(answer.text)
    assert answer.status_code == 422
    assert (page.values["width_cm"], page.values["name"]) == ("wide", "Large bear")
    assert wrong_fields(answer.text) == ["width_cm"]
    assert page.problem("width_cm") == enter_number(0.5, 500, "cm")
    assert _row(database, "Large bear") is None


def test_its_sort_cannot_be_sent_otherwise(client, database):
    client.post("/office/supplies/new", data=BEAR)
    client.post(f"/office/supplies/{_row(database, 'Bear').id}", data=BEAR | {"sort": "rental"})
    assert _row(database, "Bear").sort == "plush"


def test_an_empty_price_is_not_sold_by_itself(client, database):
    client.post("/office/supplies/new", data=BEAR)
    client.post(f"/office/supplies/{_row(database, 'Bear').id}", data={"price": ""})
    assert _row(database, "Bear").price_minor is None


def test_an_archived_supply_has_a_place_of_its_own(client, database):
    client.post("/office/supplies/new", data=BEAR)
    number = _row(database, "Bear").id
    client.post(f"/office/supplies/{number}/archive")
    listed = client.get("/office/supplies").text
    assert values(listed, "archived") == ["Bear"]
    assert f"supply-{number}" not in Page(listed).by_id
    assert "is-archived" in Page(client.get(f"/office/supplies/{number}").text).by_id
    client.post(f"/office/supplies/{number}/restore")
    assert values(client.get("/office/supplies").text, "archived") == []
    assert "is-archived" not in Page(client.get(f"/office/supplies/{number}").text).by_id


@pytest.mark.parametrize("verb", ["", "/archive", "/restore"])
def test_a_supply_that_never_was_is_not_there(client, verb):
    assert client.post(f"/office/supplies/999{verb}").status_code == 404
    assert client.get("/office/supplies/999").status_code == 404


def test_a_shop_without_supplies_says_so(client, database):
    with database.writing() as session:
        for row in session.scalars(select(SupplyRow)):
            session.delete(row)
    page = Page(client.get("/office/supplies").text)
    assert any("empty" in (attrs.get("class") or "").split() for _, attrs in page.tags)
    assert not any(tag == "table" for tag, _ in page.tags)
