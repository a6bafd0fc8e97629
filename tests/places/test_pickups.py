"""Pick-ups: what leaves when, one step after another until the door."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import select

from app.actions.orders.hand_over import NOT_FILLED_YET
from app.actions.records.catalogue import load_catalogue
from app.store.models import Order
from tests.actions.builders import bouquet
from tests.places.payloads import CALLED_OFF, Page, payload, take, words
from tests.places.test_office_gas import mark

STEPS = ["weighted", "bagged", "ready", "caution given", "handed over"]
"""Of two dozen loose balloons with helium."""


def _step(client, number, step, key=""):
    sent = {"step": step, "client_key": key or f"{number} {step}", "sure": "unpaid"}
    return client.post(f"/pickups/orders/{number}/steps", data=sent)


def _fill(client, number):
    sent = {"act": "finish", "client_key": f"fill {number}", "sure": "yes"}
    return client.post(f"/bench/batches/{number}-1/taps", data=sent)


def _fill_all(client, number, batches):
    for batch in range(1, batches + 1):
        sent = {"act": "finish", "client_key": f"fill {number} {batch}", "sure": "yes"}
        client.post(f"/bench/batches/{number}-{batch}/taps", data=sent)


def _state(database):
    with database.reading() as session:
        return session.scalars(select(Order.state)).one()


def _weights(client):
    """The weights to hang and what they are for, in the order in which the step names them."""
    said = words(re.search(r"<small data-weights>(.*?)</small>", client.get("/pickups/").text, re.DOTALL)[1])
    return re.findall(r"[\d.]+ k?g\b|11 in latex|Sea bouquet", said)


def _offered(page, number):
    """The steps that the card of the order offers, in their order."""
    return [attrs["data-step"] for attrs in _within(page, f"order-{number}") if "data-step" in attrs]


def _ticked(page, number):
    """What is ticked on the card of the order, in its order."""
    card = _within(page, f"order-{number}")
    return [attrs["data-of-step"] for attrs in card if attrs.get("data-done") == "true"]


def _within(page, id):
    """The attributes of all tags of a hand-over."""
    (card,) = (part for part in re.split(r'(?=<li\s+class="pickup )', page) if f'id="{id}"' in part)
    return [attrs for _, attrs in Page(card).tags]


@pytest.fixture
def filled(client, usual):
    _fill(client, usual)
    return usual


def test_the_page_offers_every_step_until_it_is_ticked(client, database, filled):
    ticked = []
    for step in reversed(STEPS[:-1]):
        page = client.get("/pickups/").text
        left = [one for one in STEPS if one not in ticked]
        assert [one for one in _offered(page, filled) if one != "on account"] == left
        assert sorted(_ticked(page, filled)) == sorted(ticked)
        assert _step(client, filled, step).status_code == 303
        ticked.append(step)
    assert _step(client, filled, "handed over").status_code == 303
    assert _state(database) == "handed over"
    assert _offered(client.get("/pickups/").text, filled) == []


def test_each_tick_says_who_made_it_and_when_and_has_its_own_undo(client, filled):
    client.post("/staff/new", data={"name": "Isolde"})
    for step in ("weighted", "bagged"):
        _step(client, filled, step)
    shown = words(client.get("/pickups/").text)
    assert shown.count("no name") == 2
    taps = [value for attrs in _within(client.get("/pickups/").text, f"order-{filled}") for value in _tap(attrs)]
    assert len(taps) == 2
    assert client.post(f"/pickups/orders/{filled}/undo", data={"tap": taps[0]}).status_code == 303
    assert _ticked(client.get("/pickups/").text, filled) == ["bagged"]


def _tap(attrs):
    return [attrs["value"]] if attrs.get("name") == "tap" else []


def test_an_order_has_only_the_checks_that_apply_to_it(client, database):
    """Air needs no weight, loose balloons are not assembled, a design is."""
    with database.writing() as session:
        design = bouquet(session, load_catalogue(session)).id
    air = take(client, lines__0__gas="air", bench_override="By turns.")
    made = take(
        client,
        client_key="key-2",
        lines__0__what=f"design:{design}",
        lines__0__quantity="2",
        lines__0__colours="blue",
        bench_override="By turns.",
    )
    _fill_all(client, air, 1)
    _fill_all(client, made, 2)
    page = client.get("/pickups/").text
    assert _offered(page, air) == ["bagged", "ready", "on account", "caution given", "handed over"]
    wanted = ["assembled", "weighted", "bagged", "ready", "on account", "caution given", "handed over"]
    assert _offered(page, made) == wanted


def test_a_treated_order_dries_first_and_says_until_when(client):
    number = take(client, lines__0__treated="y")
    _fill(client, number)
    page = client.get("/pickups/").text
    assert _offered(page, number)[:2] == ["dry", "weighted"]
    assert mark(page, "data-dry-at")["data-dry-at"] == "2026-11-21T09:00:00+00:00"


def test_an_order_waits_for_the_bench_until_all_are_filled(client, number):
    page = client.get("/pickups/").text
    assert mark(page, "data-waiting")["data-waiting"] == str(number)
    assert f'href="/bench/batches/{number}-1"' in page.split("data-waiting")[1].split("</p>")[0]
    answer = _step(client, number, "assembled")
    assert answer.status_code == 422
    assert NOT_FILLED_YET.format(number=number) in Page(answer.text).summary


def test_what_nobody_ticked_is_asked_about_in_one_question(client, database, filled):
    answer = client.post(
        f"/pickups/orders/{filled}/steps", data={"step": "handed over", "client_key": "k", "sure": "unpaid"}
    )
    assert answer.status_code == 422
    page = Page(answer.text)
    assert (page.values["step"], page.values["sure"]) == ("handed over", "unweighted unpaid")
    assert answer.text.count("data-question=") == 1
    assert _state(database) == "open"
    assert "handed over" not in _offered(answer.text, filled)


def test_a_double_click_is_one_step(client, filled):
    for _ in range(2):
        assert _step(client, filled, "weighted", key="once").status_code == 303
    assert _ticked(client.get("/pickups/").text, filled) == ["weighted"]


def test_a_tap_without_its_key_is_refused_and_not_swallowed(client, filled):
    for step in ("assembled", "weighted"):
        answer = client.post(f"/pickups/orders/{filled}/steps", data={"step": step})
        assert answer.status_code == 422


@pytest.mark.parametrize("step", ["", "paid", "Handed over"])
def test_a_step_that_is_none_is_refused(client, filled, step):
    assert _step(client, filled, step).status_code == 422


@pytest.mark.parametrize("part", ["", "yes", "first", "Later"])
def test_a_step_of_a_part_that_is_none_is_refused(client, filled, part):
    sent = {"step": "assembled", "part": part, "client_key": "k"}
    assert client.post(f"/pickups/orders/{filled}/steps", data=sent).status_code == 422
    assert _ticked(client.get("/pickups/").text, filled) == []


def test_a_step_is_undone_from_the_page(client, database, filled):
    for step in STEPS:
        _step(client, filled, step)
    tap = Page(client.get("/pickups/").text).values["tap"]
    for _ in range(2):
        assert client.post(f"/pickups/orders/{filled}/undo", data={"tap": tap}).status_code == 303
    assert _state(database) == "open"
    assert _ticked(client.get("/pickups/").text, filled) == STEPS[:-1]


@pytest.mark.parametrize("tap", ["", "x", "12345", "9" * 40, "²"])
def test_a_step_that_never_was_is_not_undone(client, filled, tap):
    assert client.post(f"/pickups/orders/{filled}/undo", data={"tap": tap}).status_code == 404


def test_the_step_of_another_order_is_not_undone_from_here(client, filled):
    other = take(client, client_key="key-2")
    _step(client, filled, "weighted")
    tap = Page(client.get("/pickups/").text).values["tap"]
    assert client.post(f"/pickups/orders/{other}/undo", data={"tap": tap}).status_code == 404


def test_orders_are_sorted_by_the_hour_they_leave(client):
    late, early = take(client), take(client, client_key="key-2", hand_over_time__hour="11:00")
    page = client.get("/pickups/").text
    assert page.index(f'id="order-{early}"') < page.index(f'id="order-{late}"')


def test_an_order_that_leaves_another_day_is_shown_on_that_day(client):
    number = take(client, event_start__day="2026-11-24", lasts_until__day="", hand_over_time__day="")
    assert f"order-{number}" not in client.get("/pickups/").text
    assert f"order-{number}" in client.get("/pickups/?day=2026-11-24").text


def test_a_step_on_another_day_leads_back_to_that_day(client, filled):
    answer = client.post(
        f"/pickups/orders/{filled}/steps?day=2026-11-20", data={"step": "assembled", "client_key": "k"}
    )
    assert answer.location == "/pickups/?day=2026-11-20"


def test_what_was_not_fetched_yesterday_is_still_here_and_late(client, now, number):
    now.tick(timedelta(days=1))
    page = client.get("/pickups/").text
    shown = mark(page, "data-late")
    assert (shown["id"], shown["data-late"]) == (f"order-{number}", "true")


def test_what_was_fetched_a_day_late_stays_for_that_day_so_that_it_can_be_undone(client, now, filled):
    now.move_to(now() + timedelta(days=1))
    for step in STEPS:
        _step(client, filled, step)
    page = Page(client.get("/pickups/").text)
    tap = page.values["tap"]
    now.move_to(now() + timedelta(days=1))
    assert f'id="order-{filled}"' not in client.get("/pickups/").text
    now.move_to(now() - timedelta(days=1))
    assert client.post(f"/pickups/orders/{filled}/undo", data={"tap": tap}).status_code == 303
    assert Page(client.get("/pickups/").text).values["step"] == STEPS[-1]


def test_a_cancelled_order_does_not_leave(client, number):
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    assert f"order-{number}" not in client.get("/pickups/").text


def test_a_treated_batch_begun_and_dropped_does_not_keep_the_order_here(client, database):
    """The page offers the step that the order is really at."""
    number = take(client, lines__1__what="balloon_type:5", lines__1__quantity="2", lines__1__treated="y")
    client.post(f"/bench/batches/{number}-2/taps", data={"act": "start", "client_key": "s", "sure": "yes"})
    client.post(f"/counter/orders/{number}/change", data=payload(version="1"))
    _fill(client, number)
    for step in (one for one in _offered(client.get("/pickups/").text, number) if one != "on account"):
        assert _step(client, number, step).status_code == 303
    assert _state(database) == "handed over"


def test_a_delivery_says_where_to_and_when(client):
    take(client, hand_over="deliver", address="4 Mill Lane", travel_minutes="45")
    page = client.get("/pickups/").text
    assert mark(page, "data-deliver-by")["data-deliver-by"] == "2026-11-21T14:00:00+00:00"
    assert "4 Mill Lane" in words(page)


def test_outdoors_the_weighted_step_says_what_must_hang_below_one_of_each_line(client, database):
    with database.writing() as session:
        design = bouquet(session, load_catalogue(session)).id
    lines = {"lines__1__what": f"design:{design}", "lines__1__quantity": "2", "lines__1__colours": "blue"}
    number = take(client, surroundings="sun", venue_wind="8", accepted_risk="We hold them.", **lines)
    _fill_all(client, number, 3)
    assert _weights(client) == ["235 g", "11 in latex", "2.8 kg", "Sea bouquet"]


def test_of_balloons_alike_but_for_their_treatment_the_heavier_weight_is_named(client):
    """A coat takes from the lift, so the treated ones need a little less."""
    number = take(
        client, surroundings="shade", lines__1__what="balloon_type:4", lines__1__quantity="2", lines__1__treated="y"
    )
    _fill_all(client, number, 2)
    assert _weights(client) == ["97 g", "11 in latex"]


def test_indoors_the_weighted_step_names_no_weight(client):
    _fill(client, take(client))
    assert "data-weights" not in client.get("/pickups/").text


def test_nothing_is_there_to_step_on(client):
    assert _step(client, 12345, "ready").status_code == 404


def test_htmx_gets_the_board_as_it_is_after_the_step(client, filled):
    answer = client.post(
        f"/pickups/orders/{filled}/steps",
        data={"step": "weighted", "client_key": "k"},
        headers={"HX-Request-Type": "partial"},
    )
    assert answer.status_code == 200
    assert "<html" not in answer.text
    assert _ticked(answer.text, filled) == ["weighted"]


def test_a_delivery_with_set_up_says_who_goes_when_to_leave_and_when_they_are_back(client):
    """At 14:00, 20 minutes away, with the shop's 20 minutes of set-up; the event starts at 14:10, so the crew
    arrives at 13:50. The counter, the order and the ticket say it too."""
    delivery = {"hand_over": "deliver", "travel_minutes": "20", "address": "The Corn Hall, 1 High Street"}
    sent = {**delivery, "event_start__hour": "14:10", "extras__0__what": "set-up"}
    answer = words(client.post("/counter/draft", data=payload(fix="work", **sent)).text)
    assert all(hour in answer for hour in ("13:30", "13:50", "14:00"))
    number = take(client, **sent)
    (crew,) = (attrs for _, attrs in Page(client.get("/pickups/").text).tags if "data-set-up-crew" in attrs)
    assert crew["data-set-up-crew"] == "2"
    assert crew["data-leaves-by"].startswith("2026-11-21T13:30")
    assert crew["data-crew-back"].startswith("2026-11-21T14:30")
    assert mark(client.get("/pickups/").text, "data-leaves-at")["data-leaves-at"].startswith("2026-11-21T13:30")
    order = client.get(f"/counter/orders/{number}").text
    assert mark(order, "data-leaves-early")["data-leaves-early"].startswith("2026-11-21T13:30")
    assert "data-leaves-early" in client.get(f"/bench/batches/{number}-1").text
    assert '<time datetime="2026-11-21T13:50' in client.get("/counter/orders").text


def test_a_delivery_without_set_up_names_no_crew(client):
    take(client, hand_over="deliver", travel_minutes="20", address="The Corn Hall, 1 High Street")
    assert "data-set-up-crew" not in client.get("/pickups/").text


def test_a_tag_can_be_printed_by_a_press(client):
    number = take(client)
    page = client.get(f"/pickups/{number}/tag").text
    assert "data-print" in page
    assert "print.js" in page
