"""An order outdoors at the counter: the wind is asked for, advised on, kept and read back."""

import pytest
from sqlalchemy import select

from app.actions.records.catalogue import load_catalogue
from app.store.models import Order, OrderBatch
from tests.actions.builders import bouquet
from tests.places.marks import marked
from tests.places.payloads import Page, payload, take, words

OUTDOORS = {"surroundings": "shade", "venue_wind": "8"}
HELD = "At the venue"


def _answer(client, **changes):
    return words(client.post("/counter/draft", data=payload(fix="live", **changes)).text)


def _order(database):
    with database.reading() as session:
        return session.scalars(select(Order)).one()


def _page(client, number):
    return words(client.get(f"/counter/orders/{number}").text)


def _changes(client, number):
    """What was and what is, of all changes in the history."""
    page = client.get(f"/counter/orders/{number}").text
    return [(one["data-was"], one["data-is"]) for one in marked(page, "was")]


def _bouquet(database):
    with database.writing() as session:
        return f"design:{bouquet(session, load_catalogue(session)).id}"


def test_above_the_limit_it_advises_against_helium_and_says_what_else(client):
    said = _answer(client, **OUTDOORS)
    assert "Advise against helium outdoors: 8 m/s of wind is above the shop's limit of 5 m/s." in said
    assert "Better indoors, or with air on a base that is held down." in said
    assert "All the same they would need at least 235 g on each 11 in latex." in said
    assert "Gusts are stronger" in said
    assert "power lines" in said
    assert "local codes come first" in said
    assert "Outdoors at least 235 g of weight on each." in said


@pytest.mark.parametrize("wind", ["5", "5,0", "3"])
def test_up_to_the_limit_it_asks_for_the_weight(client, wind):
    said = _answer(client, surroundings="shade", venue_wind=wind)
    grams = 40 if wind == "3" else 97
    assert f"of wind they need weights: at least {grams} g on each 11 in latex." in said
    assert "Advise against" not in said


def test_where_nobody_said_it_asks_for_the_forecast_and_reckons_with_the_limit(client):
    said = _answer(client, surroundings="sun")
    assert "How strong will the wind be there? Ask for the forecast." in said
    assert "reckoned with the shop's limit of 5 m/s: at least 97 g on each 11 in latex." in said


def test_the_limit_is_the_shops(client):
    client.post("/office/settings", data={"wind_limit_m_s": "9"})
    assert "Advise against" not in _answer(client, **OUTDOORS)
    assert "reckoned with the shop's limit of 9 m/s" in _answer(client, surroundings="shade")


def test_the_advice_changes_no_verdict(client):
    assert _answer(client, surroundings="shade", venue_wind="40").startswith("Safe £")


def test_a_design_says_the_weight_of_one_whole(client, database):
    said = _answer(
        client, lines__0__what=_bouquet(database), lines__0__quantity="2", lines__0__colours="blue", **OUTDOORS
    )
    assert "Outdoors at least 2.8 kg of weight on one whole Sea bouquet." in said


def test_what_is_filled_with_air_is_held_down_too(client):
    said = _answer(client, lines__0__gas="air", **OUTDOORS)
    assert "hold it down" in said
    assert "Advise against" not in said
    assert "of weight on each" not in said


@pytest.mark.parametrize("warmth", ["", "20", "30"])
def test_indoors_at_a_comfortable_warmth_nothing_is_said(client, warmth):
    assert HELD not in _answer(client, venue_warmth=warmth)
    number = take(client, venue_warmth=warmth)
    said = _page(client, number)
    assert HELD not in said
    assert "of weight" not in said


def test_in_a_hot_room_only_the_heat_is_told(client):
    said = _answer(client, venue_warmth="33")
    assert "At 33 °C a balloon swells and may burst." in said
    assert "never in a parked car" in said
    assert "Filled smaller already: 11 in latex." in said
    assert "not promised" in said
    assert "Gusts" not in said


def test_in_the_sun_what_is_filled_smaller_is_named_and_what_is_not_is_not(client):
    assert "Filled smaller already" not in _answer(client, surroundings="sun")
    assert "Filled smaller already: 11 in latex." in _answer(client, surroundings="sun", lines__0__gas="air")
    assert "Filled smaller already" not in _answer(client, surroundings="shade", lines__0__gas="air")


def test_the_wind_is_kept_and_read_back_and_stands_on_the_order(client, database):
    number = take(client, **OUTDOORS)
    assert _order(database).wind_m_s == 8.0
    said = _page(client, number)
    assert said.count("8 m/s") >= 2
    assert "Advise against helium outdoors" in said
    assert "Outdoors at least 235 g of weight on each." in said


def test_the_order_page_says_the_weight_of_a_whole_design(client, database):
    number = take(
        client, lines__0__what=_bouquet(database), lines__0__quantity="2", lines__0__colours="blue", **OUTDOORS
    )
    assert "at least 2.8 kg of weight on each" in _page(client, number)


def test_an_order_from_before_weights_were_reckoned_says_so_until_it_is_saved_again(client, database):
    number = take(client, surroundings="shade")
    with database.writing() as session:
        session.scalars(select(OrderBatch)).one().weight_g = None
    said = _page(client, number)
    assert "Weights for the wind are not reckoned yet for this order" in said
    client.post(f"/counter/orders/{number}/change", data=payload(version="1", surroundings="shade"))
    assert "at least 97 g on each 11 in latex" in _page(client, number)


def test_a_wind_that_was_not_told_is_said_on_the_order_and_not_read_back(client):
    said = _page(client, take(client, surroundings="sun"))
    assert "Not entered yet" in said
    assert "m/s." not in said.partition("Items")[0]


def test_the_history_says_what_the_wind_became(client):
    number = take(client, surroundings="shade")
    client.post(f"/counter/orders/{number}/change", data=payload(version="1", **OUTDOORS))
    assert _changes(client, number) == [("shade", "shade, wind 8 m/s")]


@pytest.mark.parametrize(("typed", "saved", "shown"), [("12 mph", 5.4, "5.4"), ("8", 8.0, "8"), ("0", 0.0, "0")])
def test_saving_the_form_untouched_keeps_the_wind(client, database, typed, saved, shown):
    number = take(client, surroundings="shade", venue_wind=typed)
    page = Page(client.get(f"/counter/orders/{number}/change").text)
    assert (_order(database).wind_m_s, page.values["venue_wind"]) == (saved, shown)
    sent = {name: value for name, value in page.values.items() if name not in ("q", "csrf_token", "fix")}
    assert client.post(f"/counter/orders/{number}/change", data=sent).status_code == 303
    assert (_order(database).version, _order(database).wind_m_s) == (1, saved)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("a breeze", "“a breeze” is not a number: 0 to 40 m/s."),
        ("-1", "out of range: 0 to 40 m/s."),
        ("41", "out of range: 0 to 40 m/s."),
        ("nan", "0 to 40 m/s."),
        ("120 mph", "out of range: 0 to 89 mph."),
    ],
)
def test_a_wind_that_cannot_be_has_its_sentence_and_stays_typed(client, typed, sentence):
    answer = client.post("/counter/orders", data=payload(surroundings="sun", venue_wind=typed))
    page = Page(answer.text)
    assert answer.status_code == 422
    assert sentence in page.problem("venue_wind")
    assert page.describes("venue_wind")
    assert page.values["venue_wind"] == typed


def test_indoors_whatever_stands_in_the_hidden_field_is_ignored(client, database):
    take(client, venue_wind="a breeze")
    assert _order(database).wind_m_s is None


def test_a_move_indoors_forgets_the_wind(client, database):
    number = take(client, **OUTDOORS)
    client.post(f"/counter/orders/{number}/change", data=payload(version="1", venue_wind="8"))
    assert _order(database).wind_m_s is None
    said = _page(client, number)
    assert ("shade, wind 8 m/s", "indoors") in _changes(client, number)
    assert HELD not in said
