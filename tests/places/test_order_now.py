"""The page of an order and the list say what has become of it by now: what cannot be ready, what was missed, and
how long it lasts beside what was promised."""

import csv
import io
import re
from datetime import timedelta

import pytest
from sqlalchemy import update

from app.planner import Planner
from app.store.models import PlannedStart
from tests.actions.builders import FULL_BY_NOON, at, line, order_request, take
from tests.places.marks import marked, marks, text_of
from tests.places.payloads import Page

READY = "2026-11-21T14:00:00+00:00"


@pytest.fixture
def plan(app):
    """Makes the plan, as the server does after every write."""
    return Planner(app.database).plan_now


@pytest.fixture
def catalogue(database):
    from app.actions.records.catalogue import load_catalogue  # noqa: PLC0415

    with database.reading() as session:
        return load_catalogue(session)


@pytest.fixture
def full_bench(database, catalogue, plan):
    """The numbers of five orders for noon, of which the bench can make four."""
    with database.writing() as session:
        sixty = order_request(catalogue, line(catalogue, quantity=60), **FULL_BY_NOON)
        numbers = [take(session, sixty, key=f"order-{place}").number for place in range(5)]
    plan()
    return numbers


@pytest.fixture
def finish(client):
    """finish(number, *steps): fills the first batch of an order, and ticks these steps of its hand-over."""

    def do(number, *steps):
        for act in ("start", "finish"):
            sent = {"act": act, "client_key": act, "sure": "yes"}
            assert client.post(f"/bench/batches/{number}-1/taps", data=sent).status_code == 303
        for step in steps:
            sent = {"step": step, "client_key": step}
            assert client.post(f"/pickups/orders/{number}/steps", data=sent).status_code == 303

    return do


def _order(client, number):
    return client.get(f"/counter/orders/{number}").text


def _row(client, number, **asked):
    """The row of an order in the list, and its state in the table."""
    text = client.get("/counter/orders", query_string=asked).text
    row = re.search(rf'<li\s+data-order="{number}".*?</li>', text, re.DOTALL)[0]
    sent = client.get("/counter/orders.csv", query_string=asked).data.decode("utf-8-sig")
    table = csv.DictReader(io.StringIO(sent, newline=""))
    return row, next(one["State"] for one in table if one["Order"] == str(number))


def test_the_caller_hears_when_a_late_order_can_be_ready_and_not_when_it_was_agreed(client, full_bench):
    late, made = _order(client, full_bench[-1]), _order(client, full_bench[0])
    assert re.findall(r"\d\d:\d\d", text_of(late, "read-back")) == ["15:00", "17:00", "12:00", "12:30"]
    assert re.findall(r"\d\d:\d\d", text_of(made, "read-back")) == ["15:00", "17:00", "12:00"]


def test_the_list_and_its_table_mark_what_cannot_be_ready(client, full_bench):
    (row, state), (other, other_state) = (_row(client, full_bench[place]) for place in (-1, 0))
    assert (len(marked(row, "cannot-be-ready")), len(marked(other, "cannot-be-ready"))) == (1, 0)
    assert state.partition(", ")[0] == other_state != state


def test_the_page_of_the_customer_marks_it_too(client, full_bench):
    page = client.get("/counter/customers/1").text
    rows = re.findall(r"<li>.*?</li>", page, re.DOTALL)
    late = [row for row in rows if marked(row, "cannot-be-ready")]
    assert len(late) == 1
    assert f"/counter/orders/{full_bench[-1]}" in late[0]


def test_what_was_ready_and_not_collected_is_marked_with_since_when(client, number, finish, now):
    finish(number, "assembled", "weighted", "bagged", "ready")
    assert marks(_order(client, number), "missed") == []
    now.tick(timedelta(hours=24))
    page = _order(client, number)
    assert (marks(page, "missed"), marks(page, "since")) == (["not-collected"], [READY])
    assert (marks(page, "float-now"), len(marked(page, "float-over"))) == ([], 1)
    assert "ready-status" not in Page(page).by_id
    row, state = _row(client, number, **{"from": "21 nov"})
    assert (marks(row, "missed"), "," in state) == (["not-collected"], True)


def test_what_was_not_finished_is_not_said_to_be_ready(client, number, now, plan):
    now.tick(timedelta(hours=24))
    plan()
    page = _order(client, number)
    assert (marks(page, "missed"), marks(page, "since")) == (["not-finished"], [READY])
    assert (marks(page, "ready"), marks(page, "ready-at")) == (["missed"], [])


def test_what_was_handed_over_missed_nothing(client, number, finish, now):
    finish(number, "assembled", "weighted", "bagged", "ready")
    sent = {"step": "handed over", "client_key": "gone", "sure": "unpaid"}
    assert client.post(f"/pickups/orders/{number}/steps", data=sent).status_code == 303
    now.tick(timedelta(hours=24))
    assert marks(_order(client, number), "missed") == []


@pytest.fixture
def crowded(database, catalogue, plan):
    """The numbers of three orders that share the bench until noon. The plan starts the first one far earlier than
    it was promised, and the second one a little."""
    evening = FULL_BY_NOON | {"lasts_until": at(20, minute=45), "accepted_risk": "Fine."}
    with database.writing() as session:
        wanted = order_request(catalogue, line(catalogue), **evening)
        orders = [take(session, wanted, key=f"order-{place}") for place in range(3)]
        numbers, batches = [order.number for order in orders], [order.batches[0].id for order in orders]
    plan()
    with database.writing() as session:
        for batch, start in zip(batches, (at(7), at(9, minute=30)), strict=False):
            session.execute(update(PlannedStart).where(PlannedStart.batch_id == batch).values(starts_at=start))
    return numbers


def test_order_list_board_and_pickups_name_the_promise_and_what_it_is_now(client, crowded):
    board, said = client.get("/bench").text, {}
    pickups = marked(client.get("/pickups/").text, "verdict-now")
    at_the_door = {one["id"]: (one["data-verdict"], one["data-verdict-now"]) for one in pickups}
    for number in crowded:
        batch = board.partition(f'id="batch-{number}-1"')[2]
        page, (row, _) = _order(client, number), _row(client, number)
        now = re.search(r"strip-(safe|risky|wont-last)", batch)[1]
        said[number] = (*marks(page, "promised"), now)
        assert marks(page, "float-now") == [now]
        assert at_the_door[f"order-{number}"] == said[number]
        shown = [said[number]] if said[number] != ("safe", "safe") else []
        assert [*zip(marks(row, "promised"), marks(row, "float-now"), strict=True)] == shown
    assert any(promised != now for promised, now in said.values())
