"""Wherever a batch has a time, one press shows why. It is a fold of the page itself and needs no script; only a row
of the board asks for it when it is opened, and leads to its ticket without one."""

import re

import pytest

from app.actions.records.batches import read_float_plan, usable_window
from app.physics.balloon import Gas
from app.quoting.quote import make_quote
from app.quoting.reasons import reasons_of_plan
from app.store.queries.order_batches import batches_of_order
from app.web.batch_view import window_of
from app.web.time_reasons import reasons_of
from tests.actions.builders import MORNING, line, order_request
from tests.actions.builders import take as take_order
from tests.places.payloads import payload, take

FOLD = re.compile(r'<details class="why" id="why-[^"]+"><summary>[^<]+</summary>(.*?)</details>', re.DOTALL)

LISTED = re.compile(r"<li>.*?</li>")


def _reasons(page):
    """How many reasons stand in each fold."""
    return [fold.count("<li>") for fold in FOLD.findall(page)]


def _reasons_by_key(page):
    """The same by the key of the fold."""
    keys = re.findall(r'<details class="why" id="why-([^"]+)"', page)
    return dict(zip(keys, _reasons(page), strict=True))


@pytest.mark.parametrize("address", ["/bench", "/bench/batches/{0}-1", "/counter/orders/{0}"])
def test_each_batch_has_its_four_reasons(client, address):
    number = take(client)
    assert _reasons(client.get(address.format(number)).text) == [4]


def test_each_hand_over_has_those_of_its_batches(client):
    foil = {"lines__1__what": "balloon_type:9", "lines__1__quantity": "2", "lines__1__gas": "helium"}
    later = {"lines__1__later": "y", "later_hand_over_time__hour": "14:45"}
    one, two, parted = (
        take(client, client_key=f"key-{place}", bench_override="Isolde comes.", stock_override="More come.", **more)
        for place, more in enumerate(({}, foil, foil | later))
    )
    assert _reasons_by_key(client.get("/pickups/").text) == {
        f"pickup-{one}-main": 4,
        f"pickup-{two}-main": 8,
        f"pickup-{parted}-main": 4,
        f"pickup-{parted}-later": 4,
    }


def test_the_reasons_of_a_hand_over_are_those_of_its_ticket(client):
    number = take(client)
    of_ticket = FOLD.search(client.get(f"/bench/batches/{number}-1").text)[1]
    assert LISTED.findall(FOLD.search(client.get("/pickups/").text)[1]) == LISTED.findall(of_ticket)


def test_what_has_gone_has_none(client):
    number = take(client)
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    for step in ("assembled", "weighted", "bagged", "ready", "handed over"):
        assert _reasons(client.get("/pickups/").text) == [4], step
        client.post(f"/pickups/orders/{number}/steps", data={"step": step, "client_key": step, "sure": "unpaid"})
    assert _reasons(client.get("/pickups/").text) == []


def test_each_line_of_a_quote_has_them(client):
    assert _reasons(client.post("/counter/draft", data=payload(fix="work")).text) == [4]


def test_a_filled_row_of_the_board_is_one_line_without_them(client):
    number = take(client)
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    assert _reasons(client.get("/bench").text) == []
    assert _reasons(client.get(f"/bench/batches/{number}-1").text) == [4]


@pytest.mark.parametrize(
    ("lines", "changes"),
    [
        (({},), {}),
        (({"treated": True}, {"name": "18 in foil", "quantity": 2}), {}),
        (({"gas": Gas.AIR},), {"venue_celsius": 30}),
    ],
)
def test_a_saved_batch_has_the_reasons_of_its_quote(session, shop, catalogue, lines, changes):
    wanted = order_request(catalogue, *(line(catalogue, **one) for one in lines), **changes)
    quote = make_quote(wanted, shop, catalogue, MORNING)
    order = take_order(session, wanted)
    session.flush()
    rows = {row.balloon_type_id: row for row in batches_of_order(session, order.id)}
    for plan in quote.batches:
        row = rows[plan.fill.spec.balloon_type_id]
        hours = (plan.window.not_before, plan.window.inflate_by, plan.ready_by)
        window = usable_window(*hours, wanted.hand_over, shop)
        saved = reasons_of(row, window_of(row, shop), read_float_plan(row.float_plan), shop)
        assert saved == reasons_of_plan(plan, window, quote, shop)
