"""A part that is handed over later: ticked at its line, or pressed as what would work instead."""

from tests.places.payloads import Page, payload, take, words

PARTY = {
    "event_start__hour": "18:00",
    "lasts_until__day": "2026-11-22",
    "lasts_until__hour": "00:00",
    "handed__hour": "09:00",
    "lines__1__what": "kind:12",
    "lines__1__quantity": "1",
    "lines__1__gas": "helium",
}
LATER = PARTY | {"lines__0__later": "y", "later_handed__hour": "14:45"}


def _draft(client, **changes):
    return client.post("/counter/draft", data=payload(**(PARTY | changes)))


def test_the_remedy_ticks_the_line_and_names_the_hour(client):
    assert "The latex later: Sat 21 Nov, 14:45 same price" in words(_draft(client).text)
    page = Page(_draft(client, fix="remedy-0-later-part").text)
    assert page.values["lines-0-later"] == "y"
    assert page.values["later_handed-hour"] == "14:45"
    assert "lines-1-later" not in page.values
    back = Page(client.post("/counter/draft", data=page.values | {"fix": "undo"}).text).values
    assert "lines-0-later" not in back
    assert back["later_handed-hour"] == ""


def test_the_answer_tells_both_hours(client):
    said = words(_draft(client, **LATER).text)
    assert "ready by Sat 21 Nov, 09:00, the later part by Sat 21 Nov, 14:45." in said
    assert "Fill between 14:04 and" in said


def test_an_order_is_taken_read_back_and_opened_for_change(client):
    number = take(client, **LATER)
    page = client.get(f"/counter/orders/{number}").text
    assert "You collect the later part (11 in latex) Saturday, 21 November, at 14:45." in words(page)
    values = Page(client.get(f"/counter/orders/{number}/change").text).values
    assert (values["lines-0-later"], values["later_handed-hour"]) == ("y", "14:45")


def test_without_an_hour_it_is_asked_for(client):
    page = Page(_draft(client, **(LATER | {"later_handed__hour": ""})).text)
    assert "At what hour?" in page.problem("later_handed-hour")


def test_the_pick_ups_step_each_part_on_its_own(client):
    number = take(client, **LATER)
    key = {"act": "finish", "client_key": "foil", "sure": "yes"}
    client.post(f"/bench/batches/{number}-1/taps", data=key)
    said = words(client.get("/pickups/").text)
    assert "First part" in said
    assert "The later part follows 14:45." in said
    assert f"Waits for the bench: {number}-2" in said
    for step in ("assembled", "weighted", "bagged", "ready", "handed over"):
        sent = {"step": step, "client_key": step}
        assert client.post(f"/pickups/orders/{number}/steps", data=sent).status_code == 303
    client.post(f"/bench/batches/{number}-2/taps", data=key | {"client_key": "latex"})
    page = Page(client.get("/pickups/").text)
    assert (page.values["step"], page.values["later"]) == ("assembled", "yes")
