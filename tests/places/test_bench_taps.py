"""Taps on a ticket, as forms of a browser send them."""

import re

import pytest

from tests.places.payloads import CALLED_OFF, Page, take, words


@pytest.fixture
def ticket(usual):
    return f"/bench/batches/{usual}-1"


def _tap(client, ticket, act, key="", **more):
    """At seven the bench is asked whether it is sure; these tests are, test_bench_too_early is not."""
    sent = {"act": act, "client_key": key or f"{act} {more}"[:64], "sure": "yes"} | {
        name: str(value) for name, value in more.items()
    }
    return client.post(f"{ticket}/taps", data=sent)


def _state(client, ticket):
    """State of the batch, how many are filled, how many burst."""
    attributes = Page(client.get(ticket).text).by_id["ticket"]
    return attributes["data-state"], int(attributes["data-filled"]), int(attributes["data-burst"])


def test_a_ticket_has_its_steps_and_its_window(client, ticket):
    page = client.get(ticket).text
    fill, single = re.findall(r'<ol class="steps[^"]*">(.*?)</ol>', page, re.DOTALL)
    assert re.findall(r'data-step="([^"]*)"', fill) == ["set sizer", "fill over", "pass sizer", "knot"]
    assert "11 in" in words(fill)
    assert "latex tip" in words(fill)
    singly = ["ribbon each", "weight each", "tag", "bag on ribbons", "hold up"]
    assert re.findall(r'data-step="([^"]*)"', single) == singly
    assert re.findall(r'data-step="weight each"\s+data-count="(\d+)"', single) == ["24"]
    assert re.search(r'class="strip strip-safe".*?aria-label="[^"]*14:00', page, re.DOTALL)


def test_a_ticket_outdoors_says_how_heavy_the_weights_are(client):
    outdoors = (
        f"/bench/batches/{take(client, surroundings='shade', venue_wind='8', accepted_risk='We hold them.')}-1"
    )
    page = client.get(outdoors).text
    assert re.findall(r'data-step="weight each"[^>]*data-grams="(\d+)"', page) == ["235"]
    assert "235 g" in words(page)


def test_a_ticket_indoors_names_no_weight(client, ticket):
    assert "data-grams" not in client.get(ticket).text


def test_a_tap_leads_back_to_the_ticket(client, ticket):
    answer = _tap(client, ticket, "start")
    assert (answer.status_code, answer.location) == (303, ticket)
    assert _state(client, ticket) == ("started", 0, 0)


def test_the_batch_is_filled_in_two_fills(client, ticket):
    _tap(client, ticket, "fill", count=10)
    assert _state(client, ticket) == ("started", 10, 0)
    _tap(client, ticket, "finish")
    assert _state(client, ticket) == ("filled", 24, 0)


def test_a_burst_asks_for_a_replacement_on_board_and_ticket(client, ticket):
    _tap(client, ticket, "burst", colour="red")
    page = client.get(ticket).text
    assert re.search(r"data-to-replace>\D*1 red\b", page)
    assert not re.search(r'\w<span class="burst-count">', page), "the words before it run into it"
    assert 'data-burst="1"' in client.get("/bench").text
    _tap(client, ticket, "burst", key="second", colour="white")
    assert 'data-burst="2"' in client.get("/bench").text


def test_once_all_are_filled_nothing_is_to_be_replaced(client, ticket):
    _tap(client, ticket, "burst", colour="red")
    _tap(client, ticket, "finish")
    assert "data-to-replace" not in client.get(ticket).text
    assert "data-burst" not in client.get("/bench").text


def test_a_double_click_counts_once(client, ticket):
    for _ in range(2):
        assert _tap(client, ticket, "fill", key="once", count=6).status_code == 303
    assert _state(client, ticket) == ("started", 6, 0)


def test_all_filled_pressed_on_two_tablets_is_logged_once(client, ticket):
    for key in ("one tablet", "the other"):
        assert _tap(client, ticket, "finish", key=key).status_code == 303
    number = ticket.rpartition("/")[2].partition("-")[0]
    assert client.get(ticket).text.count('data-tap-act="finish"') == 1
    assert client.get(f"/counter/orders/{number}").text.count('data-act="finish"') == 1


def test_every_tap_on_the_page_has_a_key_of_its_own(client, ticket):
    _tap(client, ticket, "start")
    keys = re.findall(r'name="client_key" value="([^"]+)"', client.get(ticket).text)
    assert len(keys) >= 5
    assert len(set(keys)) == len(keys)


def test_a_tap_can_be_undone_once(client, ticket):
    _tap(client, ticket, "fill", count=10)
    tap = Page(client.get(ticket).text).values["tap"]
    for _ in range(2):
        assert client.post(f"{ticket}/undo", data={"tap": tap}).status_code == 303
    assert _state(client, ticket)[1] == 0
    (undone,) = re.findall(r'<li\s+class="tap-entry undone"[^>]*data-tap-count="(\d+)"', client.get(ticket).text)
    assert undone == "10"


def test_the_tap_of_another_batch_is_not_undone_from_here(client, ticket):
    other = f"/bench/batches/{take(client, client_key='key-2')}-1"
    _tap(client, other, "fill", count=10)
    tap = Page(client.get(other).text).values["tap"]
    assert client.post(f"{ticket}/undo", data={"tap": tap}).status_code == 404
    assert _state(client, other)[1] == 10


@pytest.mark.parametrize("count", ["", "0", "-1", "25", "1.5", "many", "9" * 400, "²"])
def test_a_count_that_cannot_be_is_refused_with_a_sentence(client, ticket, count):
    answer = _tap(client, ticket, "fill", count=count)
    assert answer.status_code == 422
    assert "1 to 24" in words(answer.text)
    assert _state(client, ticket)[1] == 0


def test_a_colour_that_is_not_there_is_refused_with_a_sentence(client, ticket):
    answer = _tap(client, ticket, "burst", colour="green")
    assert answer.status_code == 422
    assert "green" in Page(answer.text).summary


@pytest.mark.parametrize("sent", [{"act": "jump", "client_key": "k"}, {}, {"act": "start"}])
def test_a_tap_that_means_nothing_is_refused(client, ticket, sent):
    assert client.post(f"{ticket}/taps", data=sent).status_code == 422
    assert _state(client, ticket)[0] != "started"


def test_a_cancelled_orders_ticket_takes_no_taps(client, ticket):
    number = ticket.rpartition("/")[2].partition("-")[0]
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    assert _tap(client, ticket, "start").status_code == 422
    page = client.get(ticket).text
    assert 'data-order-state="cancelled"' in page
    assert "data-tap " not in page
    assert number in words(page)


def test_a_ticket_that_never_was_is_not_there(client):
    assert client.get("/bench/batches/1-1").status_code == 404
    assert client.post("/bench/batches/1-1/taps", data={"act": "start", "client_key": "k"}).status_code == 404
    assert client.post("/bench/batches/1-1/undo", data={"tap": "1"}).status_code == 404


def test_htmx_gets_the_ticket_as_it_is_after_the_tap(client, ticket):
    sent = {"act": "fill", "client_key": "k", "count": "10", "sure": "yes"}
    answer = client.post(f"{ticket}/taps", data=sent, headers={"HX-Request-Type": "partial"})
    assert answer.status_code == 200
    assert answer.text.startswith("<article") or answer.text.lstrip().startswith("<article")
    assert 'data-filled="10"' in answer.text
