"""The office's pages of balloon types: one for each, with a sentence at each wrong figure."""

import re

import pytest
from sqlalchemy import select

from app.actions.catalogue.balloon_types import HELIUM_FIGURES_MISSING, MATERIAL_STAYS, SHAPES
from app.actions.catalogue.designs import TYPE_NOT_AVAILABLE
from app.actions.catalogue.names import NAME_LENGTH, NAME_TAKEN
from app.actions.shop.office import change_settings
from app.places.office.balloon_types import GASES
from app.store.models import BalloonTypeRow
from app.web.wording.forms import choose_from, enter_amount, enter_number, enter_whole
from tests.places.marks import marked
from tests.places.page_states import values, wrong_fields
from tests.places.payloads import Page, words
from tests.places.test_office_designs import DESIGN

WEIGHT = enter_number(0.1, 1000, "g").replace("1000", "1,000")
PACK_SIZE = enter_whole(1, 100_000).replace("100000", "100,000")
TYPE = {"mass_g": "3.2", "size_factor": "1", "price": "1.30"}
"""What is not sent stays as it is."""
NEW = {
    "material": "latex",
    "name": "13 in heart latex",
    "shape": "heart",
    "nominal_in": "13",
    "rated_in": "12.5",
    "gas": "both",
    "mass_g": "3.6",
    "size_factor": "1",
    "price": "2.20",
    "pack_size": "50",
    "pack_cost": "7.25",
}


def test_a_type_is_corrected_by_weighing(client, database):
    assert client.post("/office/balloon-types/4", data=TYPE).status_code == 303
    with database.reading() as session:
        row = session.get(BalloonTypeRow, 4)
    assert (row.mass_g, row.price_minor) == (3.2, 130)


@pytest.mark.parametrize(
    ("balloon_type", "changes", "sentence"),
    [
        (4, {"mass_g": ""}, WEIGHT),
        (4, {"mass_g": "0"}, WEIGHT),
        (4, {"mass_g": "inf"}, WEIGHT),
        (4, {"price": "-1"}, enter_amount(2)),
        (4, {"price": "1.305"}, enter_amount(2)),
        (4, {"size_factor": "x"}, enter_number(0.1, 5)),
        (12, {"helium_l": "", "median_hours": ""}, HELIUM_FIGURES_MISSING),
    ],
)
def test_figures_that_cannot_be_have_their_sentence_and_are_not_lost(
    client, database, balloon_type, changes, sentence
):
    answer = client.post(f"/office/balloon-types/{balloon_type}", data=TYPE | changes)
    assert answer.status_code == 422
    page = Page(answer.text)
    assert set(wrong_fields(answer.text)) == set(changes)
    assert {page.problem(name) for name in changes} == {sentence}
    assert all(page.describes(name) for name in changes)
    asked = {name: typed for name, typed in (TYPE | changes).items() if balloon_type != 12 or name != "size_factor"}
    assert {name: page.values[name] for name in asked} == asked
    with database.reading() as session:
        assert session.get(BalloonTypeRow, 4).mass_g == 3.0


def test_what_filling_and_topping_up_costs_is_saved(client, database):
    foil = TYPE | {"helium_l": "14", "median_hours": "240", "fill": "2.50", "top_up": "0"}
    assert client.post("/office/balloon-types/12", data=foil).status_code == 303
    values = Page(client.get("/office/balloon-types/12").text).values
    assert (values["fill"], values["top_up"]) == ("2.50", "0.00")
    with database.reading() as session:
        row = session.get(BalloonTypeRow, 12)
    assert (row.fill_minor, row.top_up_minor) == (250, 0)


def test_a_treated_price_is_saved_and_one_below_the_price_is_refused(client, database):
    assert client.post("/office/balloon-types/4", data=TYPE | {"treated": "9.10"}).status_code == 303
    assert Page(client.get("/office/balloon-types/4").text).values["treated"] == "9.10"
    refused = client.post("/office/balloon-types/4", data=TYPE | {"treated": "0.01"})
    assert (refused.status_code, wrong_fields(refused.text)) == (422, ["treated"])
    with database.reading() as session:
        assert session.get(BalloonTypeRow, 4).treated_minor == 910
    assert "treated" not in Page(client.get("/office/balloon-types/12").text).values


def test_an_empty_price_takes_the_service_off_the_counter(client, database):
    foil = TYPE | {"helium_l": "14", "median_hours": "240", "fill": "", "top_up": "1.00"}
    client.post("/office/balloon-types/12", data=foil)
    assert Page(client.get("/office/balloon-types/12").text).values["fill"] == ""
    with database.reading() as session:
        row = session.get(BalloonTypeRow, 12)
    assert (row.fill_minor, row.top_up_minor) == (None, 100)


@pytest.mark.parametrize("changes", [{"fill": "-1"}, {"fill": "free"}, {"top_up": "1.005"}])
def test_a_price_that_cannot_be_has_its_sentence_and_is_not_lost(client, database, changes):
    foil = TYPE | {"helium_l": "14", "median_hours": "240", "fill": "2.50", "top_up": "1.00"} | changes
    answer = client.post("/office/balloon-types/12", data=foil)
    assert answer.status_code == 422
    page = Page(answer.text)
    assert wrong_fields(answer.text) == list(changes)
    assert {page.problem(name) for name in changes} == {enter_amount(2)}
    assert {name: page.values[name] for name in foil if name != "size_factor"} == {
        name: typed for name, typed in foil.items() if name != "size_factor"
    }
    with database.reading() as session:
        assert session.get(BalloonTypeRow, 12).fill_minor == 0


@pytest.mark.parametrize("balloon_type", [4, 11])
def test_latex_and_what_takes_only_air_has_no_such_price(client, database, balloon_type):
    assert not {"fill", "top_up"} & set(Page(client.get(f"/office/balloon-types/{balloon_type}").text).values)
    client.post(f"/office/balloon-types/{balloon_type}", data=TYPE | {"fill": "2.50", "top_up": "1.00"})
    with database.reading() as session:
        row = session.get(BalloonTypeRow, balloon_type)
    assert (row.fill_minor, row.top_up_minor) == (None, None)


def test_a_type_that_never_was_is_not_there(client):
    assert client.post("/office/balloon-types/999", data=TYPE).status_code == 404


def _row(database, name=NEW["name"]):
    with database.reading() as session:
        return session.scalar(select(BalloonTypeRow).where(BalloonTypeRow.name == name))


def test_the_page_sent_untouched_changes_nothing(client, database):
    for balloon_type in (4, 9, 11, 12):
        with database.reading() as session:
            before = {k: v for k, v in vars(session.get(BalloonTypeRow, balloon_type)).items() if k[0] != "_"}
        values = Page(client.get(f"/office/balloon-types/{balloon_type}").text).values
        assert client.post(f"/office/balloon-types/{balloon_type}", data=values).status_code == 303
        with database.reading() as session:
            assert {
                k: v for k, v in vars(session.get(BalloonTypeRow, balloon_type)).items() if k[0] != "_"
            } == before


def test_a_new_type_is_offered_with_its_cost(client, database):
    assert client.post("/office/balloon-types/new", data=NEW).status_code == 303
    row = _row(database)
    assert (row.shape, row.nominal_in, row.rated_in, row.pack_size, row.pack_minor) == ("heart", 13, 12.5, 50, 725)
    label = re.search(rf'<option value="balloon_type:{row.id}">([^<]+)<', client.get("/counter/").text)[1]
    assert label.split(" · ") == ["13 in heart latex", "£2.20"]
    assert "£2.20 £0.145" in words(client.get("/office/balloon-types").text)


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("name", " ", NAME_LENGTH),
        ("name", "11 IN LATEX", NAME_TAKEN.format(name="11 in latex")),
        ("nominal_in", "big", enter_number(1, 100, "in")),
        ("rated_in", "0", enter_number(1, 100, "in")),
        ("shape", "cube", choose_from(SHAPES)),
        ("gas", "argon", choose_from(GASES.values())),
        ("pack_size", "0", PACK_SIZE),
        ("pack_size", "2.5", PACK_SIZE),
        ("pack_cost", "cheap", enter_amount(2)),
    ],
)
def test_a_new_type_that_cannot_be_has_its_sentence_and_is_not_lost(client, database, field, typed, sentence):
    sent = NEW | {field: typed}
    answer = client.post("/office/balloon-types/new", data=sent)
    page = Page(answer.text)
    assert answer.status_code == 422
    assert wrong_fields(answer.text) == [field]
    assert page.problem(field) == sentence
    assert page.describes(field)
    chosen = {name: text for name, text in sent.items() if text not in ("cube", "argon")}
    assert {name: page.values[name].strip() for name in chosen} == {n: t.strip() for n, t in chosen.items()}
    assert _row(database) is None


def test_each_material_is_asked_for_what_it_has(client):
    latex, foil = (
        Page(client.get(f"/office/balloon-types/new?material={m}").text).values for m in ("latex", "foil")
    )
    assert {"rated_in", "size_factor"} <= latex.keys()
    assert {"helium_l", "median_hours", "fill", "top_up"} <= foil.keys()
    assert not {"rated_in", "size_factor"} & foil.keys()
    assert not {"helium_l", "median_hours", "fill", "top_up"} & latex.keys()


def test_a_material_that_an_order_has_says_why_it_stays(client, database, number):
    page = Page(client.get("/office/balloon-types/4").text)
    assert "material" not in page.values
    assert page.by_id["material"]["text"] == "latex"
    assert str(number) in words(client.get("/office/balloon-types/4").text)
    answer = client.post(
        "/office/balloon-types/4", data={"material": "foil", "helium_l": "14", "median_hours": "200"}
    )
    assert answer.status_code == 422
    assert wrong_fields(answer.text) == ["material"]
    assert Page(answer.text).problem("material") == MATERIAL_STAYS.format(number=number, material="latex")
    assert _row(database, "11 in latex").material == "latex"


def test_another_material_asks_for_its_figures(client, database):
    answer = client.post("/office/balloon-types/6", data={"material": "foil"})
    assert answer.status_code == 422
    assert set(wrong_fields(answer.text)) == {"helium_l", "median_hours"}
    assert Page(answer.text).problem("helium_l") == HELIUM_FIGURES_MISSING
    sent = {"material": "foil", "helium_l": "30", "median_hours": "200"}
    assert client.post("/office/balloon-types/6", data=sent).status_code == 303
    assert _row(database, "16 in latex").material == "foil"


def test_an_archived_type_is_offered_nowhere_until_it_is_restored(client, number):
    places = {
        "/counter/": 'value="balloon_type:4"',
        "/counter/quick-sale": "11 in latex",
        "/office/designs/new": "11 in latex",
    }
    for verb, offered in (("archive", False), ("restore", True)):
        client.post(f"/office/balloon-types/4/{verb}")
        assert [mark in client.get(place).text for place, mark in places.items()] == [offered] * 3
        assert client.get("/office/balloon-types/4").status_code == 200
        changed = Page(client.get(f"/counter/orders/{number}/change").text)
        assert changed.values["lines-0-what"] == "balloon_type:4"
    assert values(client.get("/office/balloon-types").text, "archived") == []


def test_an_archived_type_has_a_place_of_its_own(client):
    client.post("/office/balloon-types/4/archive")
    text = client.get("/office/balloon-types").text
    assert values(text, "archived") == ["11 in latex"]
    assert "balloon-type-4" not in Page(text).by_id
    assert any(attrs.get("action") == "/office/balloon-types/4/restore" for _, attrs in Page(text).tags)


def test_a_design_is_not_made_of_an_archived_type(client):
    client.post("/office/balloon-types/4/archive")
    answer = client.post("/office/designs/new", data=DESIGN)
    assert answer.status_code == 422
    assert Page(answer.text).problem("parts-0-balloon_type") == TYPE_NOT_AVAILABLE
    client.post("/office/balloon-types/4/restore")
    assert client.post("/office/designs/new", data=DESIGN).status_code == 303


@pytest.mark.parametrize(
    "address",
    ["/office/balloon-types/999", "/office/balloon-types/999/archive", "/office/balloon-types/999/restore"],
)
def test_what_never_was_is_not_there(client, address):
    assert client.post(address).status_code == 404


def test_the_page_of_a_type_that_never_was_is_not_there(client):
    assert client.get("/office/balloon-types/999").status_code == 404


def test_a_list_price_that_leaves_too_little_is_marked_with_the_least_to_charge(client, database):
    """An 11-inch latex is £1.10. At £600 an hour its filling alone costs more than that."""

    def least():
        page = client.get("/office/balloon-types").text
        return {mark["data-least"] for mark in marked(page, "least") if mark["data-least"]}

    assert least() == set()
    with database.writing() as session:
        change_settings(session, {"hour_minor": 60000, "floor_percent": 50})
    assert least()
    assert all(int(minor) > 110 for minor in least())
