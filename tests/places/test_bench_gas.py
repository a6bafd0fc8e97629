"""Bench: a gauge is read with one number and one tap; a crew's cylinders are chosen and come back."""

import re
from datetime import timedelta

import pytest

from app.actions.gas.moves import READ_IT
from app.actions.orders.overrides import NO_STOCK_OVERRIDE
from app.actions.records.catalogue import load_catalogue
from tests.actions.builders import VENUE, line, order_request, take
from tests.places.payloads import CALLED_OFF, Page, payload, words
from tests.places.payloads import take as take_at_counter
from tests.places.test_office_gas import ELEVENS, ada, add, litres_of, mark, marks, press
from tests.places.test_query_budget import BUDGET, counted


def read(client, act="read", number=1, key="", **more):
    sent = {"act": act, "client_key": key or f"{act} {more}"} | more
    return client.post(f"/bench/gas/{number}", data=sent)


def litres_on(text):
    """Each number of litres that a page says."""
    return [float(found.replace(",", "")) for found in re.findall(r"([0-9,]+) L\b", words(text))]


def put_venue_order(database):
    with database.writing() as session:
        catalogue = load_catalogue(session)
        return take(session, order_request(catalogue, line(catalogue), **VENUE)).number


def test_the_bench_leads_to_the_cylinders(client):
    assert 'href="/bench/gas"' in client.get("/bench").text
    assert "no-cylinders" in Page(client.get("/bench/gas").text).by_id


def test_one_number_and_one_tap(client):
    add(client)
    assert read(client, "use", bar="150").location == "/bench/gas"
    for _ in range(2):
        read(client, bar="2000 psi", key="once")
    shown = mark(client.get("/bench/gas").text, "data-name")
    assert (shown["data-name"], shown["data-condition"], shown["data-bar"]) == ("Ada", "in use", "138")


def test_a_wrong_reading_has_its_sentence_at_its_cylinder(client):
    add(client)
    add(client, name="Bo", client_key="bo")
    answer = read(client, "read", 2, bar="999")
    assert answer.status_code == 422
    assert 'id="bar-2-problem"' in answer.text
    assert 'id="bar-1-problem"' not in answer.text
    assert 'value="999"' in answer.text


def test_what_is_filled_since_is_taken_off(client, now):
    add(client)
    read(client, "use", bar="150")
    number = take_at_counter(client)
    now.tick(timedelta(minutes=1))
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    filled = int(mark(client.get("/bench/gas").text, "data-name")["data-filled"])
    assert filled == pytest.approx(ELEVENS, abs=1)


def test_the_order_page_lets_a_crew_take_a_cylinder_and_bring_it_back(client, database):
    add(client)
    number = put_venue_order(database)
    page = client.get(f"/counter/orders/{number}").text
    assert int(mark(page, "data-venue-litres")["data-venue-litres"]) == pytest.approx(ELEVENS, rel=0.02)
    assert mark(page, "data-venue-litres")["data-enough"] == "false"
    assert marks(page, "data-going") == []
    assert mark(page, "data-candidate")["data-candidate"] == "Ada"
    assert 'class="hint gas-caution"' in page
    sent = {"act": "along", "client_key": "along", "number": number}
    answer = client.post(f"/counter/orders/{number}/gas/1", data=sent)
    assert answer.location.endswith(f"/counter/orders/{number}#gas")
    page = client.get(f"/counter/orders/{number}").text
    assert mark(page, "data-going")["data-litres"] == "9048"
    assert mark(page, "data-venue-litres")["data-enough"] == "true"
    assert ada(client) == ("at venue", "200")
    answer = client.post(f"/counter/orders/{number}/gas/1", data={"act": "back", "client_key": "back"})
    assert answer.status_code == 422
    assert Page(answer.text).problem("bar-1") == READ_IT.sentence
    client.post(f"/counter/orders/{number}/gas/1", data={"act": "back", "client_key": "b2", "bar": "180"})
    assert ada(client) == ("part used", "180")


def test_the_pickups_offer_cylinders_while_the_crew_packs(app, client, database):
    add(client)
    number = put_venue_order(database)
    with counted(app) as statements:
        page = client.get("/pickups/").text
    assert len(statements) <= BUDGET + 3  # cylinders, what was filled, what is still to fill
    assert int(mark(page, "data-venue-litres")["data-venue-litres"]) == pytest.approx(ELEVENS, rel=0.02)
    assert mark(page, "data-candidate")["data-candidate"] == "Ada"
    sent = {"act": "along", "client_key": "along", "number": number, "to": "pickups"}
    answer = client.post(f"/counter/orders/{number}/gas/1", data=sent)
    assert answer.location.endswith(f"/pickups/?day=2026-11-21#order-{number}")
    client.post(f"/pickups/orders/{number}/steps", data={"step": "packed", "client_key": "packed"})
    assert mark(client.get("/pickups/").text, "data-cylinders-out")["data-cylinders-out"] == "Ada"
    assert read(client, "back", bar="190").status_code == 303
    assert marks(client.get("/pickups/").text, "data-cylinders-out") == []


def test_an_order_that_is_collected_asks_for_no_cylinder(client):
    add(client)
    assert 'id="gas"' not in client.get(f"/counter/orders/{take_at_counter(client)}").text


def test_without_cylinders_nobody_is_asked(client, database):
    number = put_venue_order(database)
    assert 'id="gas"' not in client.get(f"/counter/orders/{number}").text
    assert marks(client.get("/pickups/").text, "data-venue-litres") == []


def _evidence(client):
    """What the answer says of all that is fine, on one line."""
    page = Page(client.post("/counter/draft", data=payload(fix="live")).text)
    return " ".join(page.by_id["fine"]["text"].split())


def test_the_quote_says_until_when_it_lasts(client):
    assert "elium" not in _evidence(client)
    add(client)
    press(client, "use", bar="150")
    (over,) = litres_on(_evidence(client))
    assert over == pytest.approx(litres_of(150) - ELEVENS, rel=2e-3)


def test_an_order_for_which_it_does_not_last_wants_a_reason(client):
    add(client)
    press(client, "use", bar="4")
    text = client.post("/counter/draft", data=payload(fix="live")).text
    (short,) = litres_on(re.search(r'data-topic="gas"\s+data-short="([^"]+)"', text)[1])
    assert short == pytest.approx(ELEVENS - litres_of(4), abs=2)
    answer = client.post("/counter/orders", data=payload())
    assert answer.status_code == 422
    assert Page(answer.text).problem("stock_override") == NO_STOCK_OVERRIDE.sentence
    number = take_at_counter(client, stock_override="A cylinder comes at ten.")
    assert "A cylinder comes at ten." in words(client.get(f"/counter/orders/{number}").text)


def test_with_air_nothing_is_said_of_helium(client):
    add(client)
    press(client, "use", bar="4")
    assert "elium" not in words(client.post("/counter/draft", data=payload(fix="live", lines__0__gas="air")).text)


def test_a_change_that_takes_no_more_wants_no_reason_and_opening_again_does(client):
    add(client)
    number = take_at_counter(client)
    press(client, "use", bar="4")
    fewer = payload(lines__0__quantity="20", lines__0__colours="20 red", version="1")
    assert client.post(f"/counter/orders/{number}/change", data=fewer).status_code == 303
    more = payload(lines__0__quantity="30", lines__0__colours="30 red", version="2")
    assert client.post(f"/counter/orders/{number}/change", data=more).status_code == 422
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF | {"version": "2"})
    assert client.post(f"/counter/orders/{number}/reopen").status_code == 422
