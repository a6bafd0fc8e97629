"""Filled at the venue: from the counter's form to the crew's steps at the pick-ups."""

import re

import pytest

from app.places.counter.forms import ENTER_ADDRESS
from app.web.wording.forms import enter_whole
from tests.numbers_in import numbers_in
from tests.places.marks import marked, marks, text_of
from tests.places.payloads import Page, payload, take, words

THERE = {
    "event_start__hour": "18:00",
    "lasts_until__day": "2026-11-22",
    "lasts_until__hour": "00:00",
    "hand_over": "venue",
    "hand_over_time__hour": "15:00",
    "address": "The Corn Hall, 1 High Street",
    "travel_minutes": "30",
}


def _draft(client, **changes):
    return client.post("/counter/draft", data=payload(**(THERE | changes)))


def test_the_answer_tells_the_crews_hours(client):
    text = _draft(client).text
    hours = Page(text).by_id["hours"]["text"]
    assert re.findall(r"\d\d:\d\d", hours.partition(".")[2]) == ["15:00", "17:00", "17:30", "16:10", "18:30"]
    assert "<td>£80.00</td>" in text


def test_what_nobody_says_is_as_the_shop_is_used_to(client):
    page = Page(_draft(client, travel_minutes="").text)
    assert page.by_id["crew"]["placeholder"] == "2"
    assert page.by_id["set_up_minutes"]["placeholder"] == "20"
    assert page.problem("travel_minutes") == ""


def test_the_order_page_says_when_it_is_ready_at_the_venue_not_when_the_crew_leaves(client):
    page = client.get(f"/counter/orders/{take(client, **THERE)}").text
    assert re.findall(r"\d\d:\d\d", text_of(page, "ready-status")) == ["17:30"]


@pytest.mark.parametrize(
    ("field", "wrong", "sentence"),
    [
        ("crew", "0", enter_whole(1, 20)),
        ("set_up_minutes", "soon", enter_whole(0, 600)),
        ("hanging_minutes", "-1", enter_whole(0, 1440).replace("1440", "1,440")),
    ],
)
def test_a_wrong_figure_is_told_at_its_field(client, field, wrong, sentence):
    page = Page(_draft(client, **{field: wrong}).text)
    assert page.problem(field) == sentence
    assert page.links == [field]
    assert page.values[field] == wrong


def test_an_order_is_taken_read_back_and_opened_for_change(client):
    number = take(client, **THERE)
    page = client.get(f"/counter/orders/{number}").text
    said = text_of(page, "read-back")
    assert THERE["address"] in said
    assert numbers_in(said.partition(THERE["address"])[0])[-1] == 2
    assert re.findall(r"\d\d:\d\d", said.partition(THERE["address"])[2]) == ["15:00", "16:10"]
    assert marks(page, "crew") == ["2"]
    values = Page(client.get(f"/counter/orders/{number}/change").text).values
    assert (values["hand_over"], values["crew"], values["hanging_minutes"]) == ("venue", "2", "30")
    assert values["hand_over_time-hour"] == "15:00"


def test_it_needs_an_address(client):
    answer = client.post("/counter/orders", data=payload(**(THERE | {"address": ""})))
    assert Page(answer.text).problem("address") == ENTER_ADDRESS


def test_the_alternative_fills_in_the_crew_and_its_undo_takes_it_out(client):
    party = {"event_start__hour": "18:00", "lasts_until__day": "2026-11-22", "lasts_until__hour": "00:00",
             "hand_over_time__hour": "09:00"}  # fmt: skip
    offered = client.post("/counter/draft", data=payload(**party)).text
    button, details = (text_of(offered, f"alternative-0-venue{part}") for part in ("", "-details"))
    assert re.findall(r"\d\d:\d\d", button) == ["16:30"]
    assert button.endswith("+£80.00")
    assert re.findall(r"\d\d:\d\d", details)[:2] == ["16:10", "18:30"]
    assert re.findall(r"\d+ min", details) == ["20 min", "30 min"]
    filled = Page(client.post("/counter/draft", data=payload(**party, fix="alternative-0-venue")).text).values
    assert (filled["hand_over"], filled["hand_over_time-hour"]) == ("venue", "16:30")
    assert (filled["travel_minutes"], filled["set_up_minutes"], filled["crew"]) == ("30", "20", "2")
    back = Page(client.post("/counter/draft", data=filled | {"fix": "undo"}).text).values
    assert (back["hand_over"], back["hand_over_time-hour"], back["crew"]) == ("collect", "09:00", "")


def test_the_bench_and_the_pick_ups_say_where_it_is_filled(client):
    number = take(client, **THERE)
    assert len(marks(client.get("/bench").text, "at-venue")) == 1
    assert marks(client.get(f"/bench/batches/{number}-1").text, "venue") == [THERE["address"]]
    page = client.get("/pickups/").text
    (where,) = marked(page, "venue")
    assert (where["data-venue"], where["data-crew"]) == (THERE["address"], "2")
    assert THERE["address"] in words(page)
    assert marks(page, "leaves-at") == ["2026-11-21T16:10:00+00:00"]
    assert marks(page, "caution") == ["cylinders"]
    assert Page(page).values["step"] == "packed"


def test_the_bench_waits_until_the_crew_is_set_up(client):
    number = take(client, **THERE)
    (batch,) = client.get("/bench.json?day=2026-11-21").json["batches"]
    assert batch["not_before"] == "2026-11-21T15:20:00Z"
    page = client.get(f"/bench/batches/{number}-1").text
    assert Page(page).by_id["ticket"]["data-state"] == "early"
    assert "15:20" in words(page)


def test_the_review_counts_from_the_hour_it_had_to_hang(client, now):
    number = take(client, **THERE)
    taps = f"/pickups/orders/{number}/steps"
    now.move_to(now().replace(hour=14, minute=20))
    client.post(taps, data={"step": "packed", "client_key": "p"})
    now.move_to(now().replace(hour=15, minute=40))
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "f"})
    now.move_to(now().replace(hour=17, minute=50))
    for step in ("assembled", "weighted", "ready", "handed over"):
        assert client.post(taps, data={"step": step, "client_key": step, "sure": "unpaid"}).status_code == 303
    (row,) = marked(client.get("/office/review/orders?from=2026-11-21&to=2026-11-21").text, "minutes-late")
    due, finished = "2026-11-21T18:00:00+00:00", "2026-11-21T17:50:00+00:00"
    assert (row["data-due-at"], row["data-finished-at"], row["data-minutes-late"]) == (due, finished, "0")


def test_the_order_and_the_pick_ups_say_when_the_crew_is_back_and_the_caution(client):
    number = take(client, **THERE)
    back = "2026-11-21T18:30:00+00:00"
    page = client.get(f"/counter/orders/{number}").text
    assert (marks(page, "crew"), marks(page, "crew-back"), marks(page, "caution")) == (["2"], [back], ["cylinders"])
    assert marks(page, "crew-leaves") == ["2026-11-21T16:10:00+00:00"]
    assert "18:30" in words(page)
    pickups = client.get("/pickups/").text
    (where,) = marked(pickups, "venue")
    leaves, enters = "2026-11-21T16:10:00+00:00", "2026-11-21T15:00:00+00:00"
    assert (where["data-leaves"], where["data-enters"], marks(pickups, "crew-back")) == (leaves, enters, [back])
    assert (where["data-set-up-minutes"], where["data-hanging-minutes"]) == ("20", "30")
    said = text_of(pickups, f"order-{number}")
    assert re.findall(r"\d\d:\d\d", said)[:4] == ["16:10", "15:00", "18:30", "18:00"]  # the event at the last
    assert re.findall(r"\d+ min", said)[:2] == ["20 min", "30 min"]


def test_a_delivery_has_neither_crew_nor_cylinders(client):
    number = take(client, **(THERE | {"hand_over": "deliver", "accepted_risk": "Fine."}))
    for page in (client.get(f"/counter/orders/{number}").text, client.get("/pickups/").text):
        assert [*marks(page, "crew"), *marks(page, "crew-back"), *marks(page, "caution")] == []
        assert "18:30" not in words(page)
