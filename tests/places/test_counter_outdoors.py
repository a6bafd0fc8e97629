"""An order outdoors at the counter: the wind is asked for, advised on, saved and said to the caller."""

import re

import pytest
from sqlalchemy import select

from app.actions.records.catalogue import load_catalogue
from app.store.models import Order, OrderBatch
from tests.actions.builders import bouquet
from tests.actions.supply_helpers import supply
from tests.places.answers import advice, answer_states, having
from tests.places.marks import marked
from tests.places.payloads import Page, payload, take, words

OUTDOORS = {"surroundings": "shade", "venue_wind": "8", "accepted_risk": "We hold them."}
HELD = 'id="outdoors"'
TOO_WINDY, WIND, ASK, GUSTS = "too-windy", "wind", "ask-wind", "gusts"
HEAT, SMALLER, BURSTS, LEFT_OUT = "heat", "filled-smaller", "bursts", "not-included"


def _answer(client, **changes):
    return client.post("/counter/draft", data=payload(fix="live", **changes)).text


def _advice(client, **changes):
    return advice(_answer(client, **changes))


def _order(database):
    with database.reading() as session:
        return session.scalars(select(Order)).one()


def _page(client, number):
    return client.get(f"/counter/orders/{number}").text


def _changes(client, number):
    """What was and what is, of all changes in the history."""
    page = client.get(f"/counter/orders/{number}").text
    return [(one["data-was"], one["data-is"]) for one in marked(page, "was")]


def _bouquet(database):
    with database.writing() as session:
        return f"design:{bouquet(session, load_catalogue(session)).id}"


def test_above_the_limit_it_advises_against_helium_and_says_what_else(client):
    text = _answer(client, **OUTDOORS)
    assert advice(text) == [TOO_WINDY, GUSTS]
    for value in ("8 m/s", "5 m/s", "235 g"):
        assert value in Page(text).by_id["outdoors"]["text"]


@pytest.mark.parametrize("wind", ["5", "5,0", "3"])
def test_up_to_the_limit_it_asks_for_the_weight(client, wind):
    text = _answer(client, surroundings="shade", venue_wind=wind)
    grams = 40 if wind == "3" else 97
    assert advice(text) == [WIND, GUSTS]
    assert f"{grams} g" in Page(text).by_id["outdoors"]["text"]


def test_where_nobody_said_it_asks_for_the_forecast_and_calculates_with_the_limit(client):
    text = _answer(client, surroundings="sun")
    assert advice(text) == [ASK, GUSTS, HEAT, BURSTS]
    assert "5 m/s" in Page(text).by_id["outdoors"]["text"]
    assert "97 g" in Page(text).by_id["outdoors"]["text"]


def test_what_the_chances_leave_out_is_one_line_where_it_applies(client, database):
    treated = {"lines__0__treated": "y"}
    assert _advice(client, surroundings="shade", venue_wind="3", **treated) == [WIND, GUSTS, LEFT_OUT]
    assert LEFT_OUT not in _advice(client, **treated)
    foil = {"lines__0__what": _bouquet(database), "lines__0__quantity": "1", "lines__0__colours": ""}
    assert LEFT_OUT in _advice(client, venue_warmth="33", **foil)
    assert _advice(client, venue_warmth="30", **foil) == []


def test_the_limit_is_the_shops(client):
    client.post("/office/settings", data={"wind_limit_m_s": "9"})
    assert _advice(client, **OUTDOORS) == [WIND, GUSTS]
    assert "9 m/s" in Page(_answer(client, surroundings="shade")).by_id["outdoors"]["text"]


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({}, "safe"),
        ({"venue_wind": "5"}, "safe"),
        ({"venue_wind": "5,1"}, "risky"),
        ({"venue_wind": "40"}, "risky"),
        ({"venue_wind": "40", "lines__0__gas": "air"}, "safe"),
        ({"venue_wind": "40", "surroundings": "indoors"}, "safe"),
        ({"venue_wind": "5", "venue_warmth": "33"}, "safe"),
    ],
)
def test_helium_in_a_wind_above_the_limit_is_risky_and_all_else_is_only_advised_on(client, changes, verdict):
    """Two dozen for five hours, ready an hour before: the wind alone can make them risky."""
    assert answer_states(_answer(client, **({"surroundings": "shade"} | changes)))["verdict"] == verdict


def test_what_the_wind_makes_risky_is_said_at_its_batch_and_needs_what_the_customer_accepted(client):
    text = _answer(client, surroundings="shade", venue_wind="8")
    (batch,) = having(Page(text), "data-inflate-by")
    assert batch["data-verdict"] == "risky"
    assert Page(text).by_id["take"]["data-missing"] == "accepted_risk"
    assert answer_states(text)["can-make"] == "fits"


def test_a_design_says_the_weight_of_one_whole(client, database):
    said = _answer(
        client, lines__0__what=_bouquet(database), lines__0__quantity="2", lines__0__colours="blue", **OUTDOORS
    )
    assert "2.8 kg" in said
    assert "235 g" not in said


def test_what_is_filled_with_air_is_held_down_too(client):
    text = _answer(client, lines__0__gas="air", **OUTDOORS)
    assert advice(text) == ["air-filled"]
    assert " g" not in Page(text).by_id["outdoors"]["text"].replace(" gas", "")


@pytest.mark.parametrize("warmth", ["", "20", "30"])
def test_indoors_at_a_comfortable_temperature_nothing_is_said(client, warmth):
    assert HELD not in _answer(client, venue_warmth=warmth)
    number = take(client, venue_warmth=warmth)
    assert HELD not in _page(client, number)
    with_weight = r"\b\d+ g\b"
    assert not re.search(with_weight, words(_page(client, number)))


def test_in_a_hot_room_only_the_heat_is_told(client):
    text = _answer(client, venue_warmth="33")
    assert advice(text) == [HEAT, SMALLER, BURSTS]
    assert "33 °C" in Page(text).by_id["outdoors"]["text"]


def test_in_the_sun_what_is_filled_smaller_is_named_and_what_is_not_is_not(client):
    assert SMALLER not in _advice(client, surroundings="sun")
    assert SMALLER in _advice(client, surroundings="sun", lines__0__gas="air")
    assert SMALLER not in _advice(client, surroundings="shade", lines__0__gas="air")


def test_the_wind_is_kept_and_read_back_and_stands_on_the_order(client, database):
    number = take(client, **OUTDOORS)
    assert _order(database).wind_m_s == 8.0
    text = _page(client, number)
    assert words(text).count("8 m/s") >= 3  # to the caller, at the venue, and in the advice
    assert advice(text) == [TOO_WINDY, GUSTS]
    assert "235 g" in text


def test_the_order_page_says_the_weight_of_a_whole_design(client, database):
    number = take(
        client, lines__0__what=_bouquet(database), lines__0__quantity="2", lines__0__colours="blue", **OUTDOORS
    )
    page = _page(client, number)
    assert "2.8 kg" in page
    assert "235 g" not in page


def test_an_order_from_before_weights_were_calculated_says_so_until_it_is_saved_again(client, database):
    number = take(client, surroundings="shade")
    with database.writing() as session:
        session.scalars(select(OrderBatch)).one().weight_g = None
    assert advice(_page(client, number)) == ["not-calculated"]
    client.post(f"/counter/orders/{number}/change", data=payload(version="1", surroundings="shade"))
    assert advice(_page(client, number)) == [ASK, GUSTS]
    assert "97 g" in _page(client, number)


def test_the_order_asks_for_a_wind_that_nobody_said(client):
    assert advice(_page(client, take(client, surroundings="sun"))) == [ASK, GUSTS, HEAT, BURSTS]


def test_the_history_says_what_the_wind_became(client):
    number = take(client, surroundings="shade")
    client.post(f"/counter/orders/{number}/change", data=payload(version="1", **OUTDOORS))
    assert _changes(client, number) == [
        ("shade", "shade, wind 8\u00a0m/s"),
        ("", OUTDOORS["accepted_risk"]),
    ]


@pytest.mark.parametrize(("typed", "saved", "shown"), [("12 mph", 5.4, "5.4"), ("8", 8.0, "8"), ("0", 0.0, "0")])
def test_saving_the_form_untouched_keeps_the_wind(client, database, typed, saved, shown):
    number = take(client, surroundings="shade", venue_wind=typed, accepted_risk="We hold them.")
    page = Page(client.get(f"/counter/orders/{number}/change").text)
    assert (_order(database).wind_m_s, page.values["venue_wind"]) == (saved, shown)
    sent = {name: value for name, value in page.values.items() if name not in ("q", "fix")}
    assert client.post(f"/counter/orders/{number}/change", data=sent).status_code == 303
    assert (_order(database).version, _order(database).wind_m_s) == (1, saved)


@pytest.mark.parametrize(
    ("typed", "allowed"),
    [
        ("a breeze", "0 to 40 m/s"),
        ("-1", "0 to 40 m/s"),
        ("41", "0 to 40 m/s"),
        ("nan", "0 to 40 m/s"),
        ("120 mph", "0 to 89 mph"),
    ],
)
def test_a_wind_that_cannot_be_has_its_sentence_and_stays_typed(client, typed, allowed):
    answer = client.post("/counter/orders", data=payload(surroundings="sun", venue_wind=typed))
    page = Page(answer.text)
    assert answer.status_code == 422
    assert allowed in page.problem("venue_wind")
    assert page.describes("venue_wind")
    assert page.values["venue_wind"] == typed


def test_indoors_whatever_stands_in_the_hidden_field_is_ignored(client, database):
    take(client, venue_wind="a breeze")
    assert _order(database).wind_m_s is None


def test_a_move_indoors_forgets_the_wind(client, database):
    number = take(client, **OUTDOORS)
    client.post(f"/counter/orders/{number}/change", data=payload(version="1", venue_wind="8"))
    assert _order(database).wind_m_s is None
    text = _page(client, number)
    assert ("shade, wind 8\u00a0m/s", "indoors") in _changes(client, number)
    assert HELD not in text


@pytest.fixture
def weight(database):
    """A weight of 100 g at £0.80: what its choice sends."""
    with database.writing() as session:
        return f"supply:{supply(session, 'Star weight', 'weight', grams=100.0, price_minor=80).id}"


BREEZE = {"surroundings": "shade", "venue_wind": "5", "accepted_risk": "We hold them."}


def _press_weights(client, **sent):
    """The rows of extras once the weights are added, as the form then has them."""
    page = Page(client.post("/counter/draft", data=payload(fix="add-weights", **BREEZE, **sent)).text)
    assert "add-weights" not in page.by_id
    return [
        (page.values[f"extras-{row}-what"], page.values[f"extras-{row}-quantity"]) for row in range(_rows(page))
    ]


def _rows(page):
    return sum(name.startswith("extras-") and name.endswith("-quantity") for name in page.values)


def test_the_weights_that_are_asked_for_are_added_with_one_press(client, weight):
    page = Page(_answer(client, **BREEZE))
    assert "£19.20" in page.by_id["add-weights"]["text"]
    assert _press_weights(client) == [(weight, "24")]


def test_weights_that_are_there_are_made_enough(client, weight):
    assert _press_weights(client, extras__0__what=weight, extras__0__quantity="20") == [(weight, "24")]


def test_no_weight_that_is_heavy_enough_is_said(client, weight):
    text = _answer(client, **BREEZE | {"venue_wind": "8"})
    assert len(marked(text, "too-heavy")) == 1
    assert "add-weights" not in Page(text).by_id


def test_without_wind_no_weights_are_offered(client, weight):
    assert "add-weights" not in Page(_answer(client)).by_id
