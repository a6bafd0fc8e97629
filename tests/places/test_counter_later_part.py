"""A part that is handed over later: ticked at its line, or pressed as what would work instead."""

import re

from app.actions.records.catalogue import load_catalogue
from app.web.wording.forms import ENTER_TIME
from tests.actions.builders import bouquet
from tests.numbers_in import numbers_in
from tests.places.answers import answer_states, having, offers
from tests.places.marks import marked, marks, text_of
from tests.places.payloads import Page, payload, take

PARTY = {
    "event_start__hour": "18:00",
    "lasts_until__day": "2026-11-22",
    "lasts_until__hour": "00:00",
    "hand_over_time__hour": "09:00",
    "lines__1__what": "balloon_type:12",
    "lines__1__quantity": "1",
    "lines__1__gas": "helium",
}
LATER = PARTY | {"lines__0__later": "y", "later_hand_over_time__hour": "15:15"}


def _draft(client, **changes):
    return client.post("/counter/draft", data=payload(**(PARTY | changes)))


def test_the_alternative_ticks_the_line_and_names_the_hour(client):
    assert "alternative-0-later_part" in offers(_draft(client).text)
    page = Page(_draft(client, fix="alternative-0-later_part").text)
    assert page.values["lines-0-later"] == "y"
    assert page.values["later_hand_over_time-hour"] == "15:15"
    assert "lines-1-later" not in page.values
    back = Page(client.post("/counter/draft", data=page.values | {"fix": "undo"}).text).values
    assert "lines-0-later" not in back
    assert back["later_hand_over_time-hour"] == ""


def test_the_answer_tells_both_hours(client):
    page = Page(_draft(client, **LATER).text)
    assert re.findall(r"\d\d:\d\d", page.by_id["hours"]["text"].partition(".")[2]) == ["09:00", "15:15"]
    assert having(page, "data-not-before")[0]["data-not-before"] == "2026-11-21T14:35"


def _read_back_later(client, number):
    """What is read back of the later part, after its time."""
    said = text_of(client.get(f"/counter/orders/{number}").text, "read-back")
    return said.partition("15:15")[2].partition(".")[0]


def test_an_order_is_taken_read_back_and_opened_for_change(client):
    number = take(client, **LATER)
    later = _read_back_later(client, number)
    assert numbers_in(later) == [24, 11, 12, 12]
    assert all(value in later for value in ("11 in latex", "red", "white"))
    values = Page(client.get(f"/counter/orders/{number}/change").text).values
    assert (values["lines-0-later"], values["later_hand_over_time-hour"]) == ("y", "15:15")


def test_without_an_hour_it_is_asked_for(client):
    page = Page(_draft(client, **(LATER | {"later_hand_over_time__hour": ""})).text)
    assert page.problem("later_hand_over_time-hour") == ENTER_TIME
    assert page.links == ["later_hand_over_time-hour"]


def test_the_pick_ups_step_each_part_on_its_own(client):
    number = take(client, **LATER)
    key = {"act": "finish", "client_key": "foil", "sure": "yes"}
    client.post(f"/bench/batches/{number}-1/taps", data=key)
    said = client.get("/pickups/").text
    assert marks(said, "part") == ["main", "later"]
    assert "15:15" in text_of(said, f"order-{number}-later")
    (waits,) = marked(said, "waiting")
    assert (waits["data-waiting"], waits["data-batches"]) == (str(number), f"{number}-2")
    for step in ("assembled", "weighted", "bagged", "ready", "handed over"):
        sent = {"step": step, "client_key": step, "sure": "unpaid"}
        assert client.post(f"/pickups/orders/{number}/steps", data=sent).status_code == 303
    client.post(f"/bench/batches/{number}-2/taps", data=key | {"client_key": "latex"})
    page = client.get("/pickups/").text
    assert marks(page, "state")[:2] == ["filled", "gone"]
    offered = [attrs["data-step"] for attrs in marked(page, "step")]
    assert offered == ["weighted", "bagged", "ready", "on account", "caution given", "handed over"]
    parts = {attrs["value"] for _, attrs in Page(page).tags if attrs.get("name") == "part"}
    assert parts == {"later"}


def test_of_a_bouquet_only_the_latex_is_read_back_as_later(client, database):
    with database.writing() as session:
        design = bouquet(session, load_catalogue(session))
    line = {"lines__0__what": f"design:{design.id}", "lines__0__quantity": "2", "lines__0__colours": "blue"}
    number = take(client, **(LATER | line))
    later = _read_back_later(client, number)
    assert numbers_in(later) == [2]
    assert all(value in later for value in ("latex", "Sea bouquet", "blue"))


def test_what_is_sold_at_once_has_no_later_part(client):
    answer = client.post("/counter/draft", data=payload(occasion="now", lines__0__later="y"))
    assert answer_states(answer.text)["verdict"] == "safe"
    assert Page(answer.text).problem("later_hand_over_time-hour") == ""


def _closed(answer):
    return Page(answer.text).by_id.get("closed", {}).get("data-parts", "")


def test_a_later_part_that_leaves_a_closed_shop_is_told(client):
    far = {"event_start__hour": "23:00", "later_hand_over_time__hour": "22:00"}
    assert _closed(_draft(client, **(LATER | far))) == "later"
    both = {"hand_over_time__hour": "21:30"}
    assert _closed(_draft(client, **(LATER | far | both))) == "main later"
    assert _closed(_draft(client, **LATER)) == ""
