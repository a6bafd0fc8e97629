"""The float verdict of the answer is that of float, light and wind; whether it can be made is said beside it."""

import pytest

from tests.actions.stock_helpers import lot
from tests.begun import begins_with
from tests.places.answers import advice, answer_states, having, offers
from tests.places.marks import marked
from tests.places.payloads import Page, payload, take

SOON = {"hand_over_time__hour": "12:20", "event_start__hour": "13:00", "lasts_until__hour": "16:00"}
"""In twenty minutes: two dozen take half an hour."""
TEAL = {"lines__0__colours": "teal"}
SUNK = {"lasts_until__day": "2026-11-22", "lasts_until__hour": "02:00"}
NEXT_SATURDAY = {f"{name}__day": "2026-11-28" for name in ("event_start", "lasts_until", "hand_over_time")}
GARDEN = NEXT_SATURDAY | {
    "lines__0__what": "balloon_type:6",
    "hand_over_time__hour": "09:30",
    "event_start__hour": "10:00",
    "lasts_until__hour": "18:00",
    "surroundings": "sun",
    "venue_warmth": "28",
    "venue_wind": "3",
}
"""Two dozen 16-inch balloons in full sun: worked case 9."""


def _answer(client, **changes):
    return client.post("/counter/draft", data=payload(fix="live", **changes)).text


def _headline(text):
    """The signs of the headline, in their order, and how many words of good news stand beside it."""
    said = text.partition('class="answer-verdict"')[2].partition('class="answer-total"')[0]
    signs = [part.partition('"')[0] for part in said.split('class="badge badge-')[1:]]
    return signs, said.count("answer-can-make")


def _fill_shelf(database):
    with database.writing() as session:
        for count, colour in ((20, "teal"), (90, "red"), (90, "white")):
            lot(session, count, colour)


template = begins_with("shelf", _fill_shelf)


@pytest.fixture
def shelf(database):
    """Some are counted."""


@pytest.mark.parametrize(
    ("changes", "states", "headline"),
    [
        ({}, ("safe", "fits", ""), (["safe"], 1)),
        (SOON, ("safe", "late", ""), (["cant-make"], 1)),
        (TEAL, ("safe", "fits", "stock"), (["short"], 2)),
        (SOON | TEAL, ("safe", "late", "stock"), (["cant-make", "short"], 1)),
        (SUNK, ("wont-last", "fits", ""), (["wont-last"], 1)),
        (SUNK | TEAL, ("wont-last", "fits", "stock"), (["short", "wont-last"], 1)),
    ],
)
def test_float_bench_and_stock_each_have_their_own_state(client, noon, shelf, changes, states, headline):
    text = _answer(client, **changes)
    said = answer_states(text)
    assert (said["verdict"], said["can-make"], said["short"]) == states
    assert _headline(text) == headline


@pytest.mark.parametrize(
    ("changes", "missing"),
    [
        ({}, ""),
        (SOON, "bench_override"),
        (TEAL, "stock_override"),
        (SUNK, "accepted_risk"),
        (SUNK | TEAL, "accepted_risk stock_override"),
    ],
)
def test_each_asks_for_its_own_reason(client, noon, shelf, changes, missing):
    assert Page(_answer(client, **changes)).by_id["take"]["data-missing"] == missing


@pytest.mark.parametrize("until", ["18:00", "23:00"])
def test_the_light_of_a_garden_makes_large_latex_risky_and_treating_is_not_offered(client, until):
    """8 h of sun, and until 23:00 10 h of daylight, where 6 h are the limit: from memory."""
    text = _answer(client, **GARDEN | {"lasts_until__hour": until})
    said = answer_states(text)
    assert (said["verdict"], said["can-make"], _headline(text)) == ("risky", "fits", (["risky"], 1))
    assert [batch["data-verdict"] for batch in having(Page(text), "data-inflate-by")] == ["risky"]
    assert "alternative-0-foil" in offers(text)
    assert all(way["data-verdict"] == "safe" for way in offers(text).values())
    assert not [way for way in offers(text) if "treat" in way]


def test_in_the_shade_the_same_party_is_safe(client):
    assert answer_states(_answer(client, **GARDEN | {"surroundings": "shade"}))["verdict"] == "safe"


def test_over_twice_the_limit_of_light_it_wont_last_with_any_gas(client):
    """From 07:00 to 20:00 on the second day too: 10 h and 11 h of sun."""
    for gas in ("helium", "air"):
        two_days = GARDEN | {"lasts_until__day": "2026-11-29", "lines__0__gas": gas}
        assert answer_states(_answer(client, **two_days))["verdict"] == "wont-last", gas


def test_an_order_that_light_limits_is_saved_with_what_the_customer_accepted(client):
    assert client.post("/counter/orders", data=payload(**GARDEN)).status_code == 422
    number = take(client, **GARDEN, accepted_risk="They know that some may burst.")
    assert marked(client.get(f"/counter/orders/{number}").text, "state")[0]["data-verdict"] == "risky"


def test_heat_warns_and_stays_safe(client):
    """Worked case 5: thirty 11-inch balloons for a shaded garden at 33 °C; not before 16:05, filled to 10.85 in."""
    client.post("/office/settings", data={"shop_celsius": "21"})
    garden = {
        "lines__0__quantity": "30",
        "lines__0__colours": "red",
        "hand_over_time__hour": "17:00",
        "event_start__hour": "17:30",
        "lasts_until__hour": "22:00",
        "surroundings": "shade",
        "venue_warmth": "33",
        "venue_wind": "3",
    }
    text = _answer(client, **NEXT_SATURDAY | garden)
    assert (answer_states(text)["verdict"], "heat" in advice(text)) == ("safe", True)
    (batch,) = having(Page(text), "data-inflate-by")
    assert batch["data-not-before"] == "2026-11-28T16:05"
    assert "10.8" in Page(text).by_id["answer"]["text"]


def test_a_chance_of_a_batch_that_two_lines_share_says_of_which_lines_it_is(client):
    second = {"lines__1__what": "balloon_type:4", "lines__1__quantity": "6", "lines__1__gas": "helium"}
    alone, shared = _answer(client, **SUNK), _answer(client, **SUNK, **second)
    assert marked(alone, "filled-for") == []
    assert [one["data-filled-for"] for one in marked(shared, "filled-for")] == ["1 2"]


@pytest.mark.parametrize(
    ("treated", "batches", "shared_with"), [(None, 1, ["1"]), ("y", 2, [])], ids=["filled alike", "filled apart"]
)
def test_a_batch_of_two_lines_stands_once_in_the_answer(client, treated, batches, shared_with):
    second = {"what": "balloon_type:4", "quantity": "6", "colours": "blue", "gas": "helium", "treated": treated}
    page = Page(_answer(client, **{f"lines__1__{name}": value for name, value in second.items()}))
    assert len(having(page, "data-inflate-by")) == batches
    assert [line["data-shared-with"] for line in having(page, "data-shared-with")] == shared_with
