"""The plan of the whole bench as the pages show it."""

from datetime import timedelta

import pytest

from app.planner import Planner
from tests.actions.builders import FULL_BY_NOON, at, line, order_request, take
from tests.places.payloads import words


@pytest.fixture
def plan(app):
    """Works the plan out, as the server does after every write."""
    return Planner(app.database).plan_now


@pytest.fixture
def orders(database, catalogue):
    """Takes orders of so many balloons each, all due at noon; their numbers."""

    def take_them(*quantities):
        with database.writing() as session:
            requests = [
                order_request(catalogue, line(catalogue, quantity=quantity), **FULL_BY_NOON)
                for quantity in quantities
            ]
            return [take(session, one, key=f"order-{place}").number for place, one in enumerate(requests)]

    return take_them


@pytest.fixture
def catalogue(database):
    from app.actions.records.catalogue import load_catalogue  # noqa: PLC0415

    with database.reading() as session:
        yield load_catalogue(session)


def test_the_board_shows_the_shared_start_and_when_each_is_worked_on(client, orders, plan):
    first, second = orders(24, 24)
    alone = words(client.get("/bench").text)
    assert alone.count("11:30") >= 2
    assert plan()
    page = client.get("/bench").text
    said = words(page)
    assert page.index(f'id="batch-{second}-1"') < page.index(f'id="batch-{first}-1"')
    assert "11:00 to 11:20" in said
    assert "finish from 11:40" in said
    assert "one hand for the whole order" not in said


def test_a_ticket_tells_the_plan(client, orders, plan):
    (number,) = orders(24)
    plan()
    assert "Planned 11:30 to 11:50; the order is finished from 11:50" in words(
        client.get(f"/bench/batches/{number}-1").text
    )


def test_who_cannot_be_ready_is_told_with_whom_to_ring(client, orders, plan):
    *others, last = orders(60, 60, 60, 60, 60)
    plan()
    said = words(client.get("/bench").text)
    assert f"At risk: ring the caller in time {last} Wilhelmina Hart 01632 960101 cannot be ready by 12:00" in said
    assert "would be about 12:30" in said
    assert "for want of hands" in said
    assert f"It competes with orders {', '.join(map(str, others))}" in said
    assert "It cannot be ready by 12:00, would be about 12:30" in words(client.get("/pickups/").text)
    assert "The order cannot be ready by 12:00" in words(client.get(f"/counter/orders/{last}").text)
    assert "cannot be ready" not in words(client.get(f"/counter/orders/{others[0]}").text)


def test_what_was_not_begun_in_time_is_late_however_often_it_is_planned_anew(client, orders, plan, now):
    """Its own latest start was half past eleven."""
    (number,) = orders(24)
    now.move_to(at(11, 45))
    plan()
    said = words(client.get("/bench").text)
    assert "Late should have been begun 15 min ago" in said
    assert client.get("/bench.json").json["batches"][0]["state"] == "late"
    assert f"{number} Wilhelmina Hart" in said


def test_when_to_finish_is_told_when_all_is_filled_and_at_the_pick_ups(client, orders, plan):
    (number,) = orders(24)
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    plan()
    assert "finish from 11:50, ready by 12:00" in words(client.get("/bench").text)
    assert "Finish work from 11:50." in words(client.get("/pickups/").text)


def test_what_changed_is_told_for_a_day(client, orders, plan, now):
    orders(60, 60, 60, 60)
    plan()
    assert "What changed" not in client.get("/bench").text
    were = "08:00 to 18:00: 1 hand"
    client.post(
        "/bench/staff", data={"day": "2026-11-21", "from": "8", "to": "9", "by": "-1", "shown_shifts": were}
    )
    plan()
    said = words(client.get("/bench").text)
    assert "What changed in the plan" in said
    assert "ready about 12:" in said
    assert "was 12:00" in said
    now.tick(timedelta(days=1, minutes=1))
    plan()
    assert "07:00 Order" not in words(client.get("/bench").text)


def test_a_page_renews_itself_when_the_plan_is_new_and_not_otherwise(client, orders, plan):
    orders(24, 24)
    version = client.get("/bench").text.split('data-version="')[1].split('"')[0]
    assert client.get(f"/bench?v={version}").status_code == 204
    assert plan()
    assert client.get(f"/bench?v={version}").status_code == 200
    version = client.get("/bench").text.split('data-version="')[1].split('"')[0]
    assert not plan()
    assert client.get(f"/bench?v={version}").status_code == 204


def test_until_a_change_is_planned_the_board_says_so(client, orders, plan):
    orders(24)
    plan()
    assert "worked out anew" not in client.get("/bench").text
    with_one_more = orders(24, 24)
    assert "worked out anew" in client.get("/bench").text
    plan()
    assert "worked out anew" not in client.get("/bench").text
    assert len(with_one_more) == 2


def test_other_programs_get_the_shared_start_and_the_blocks(client, orders, plan):
    first, second = orders(24, 24)
    plan()
    told = {batch["key"]: batch for batch in client.get("/bench.json").json["batches"]}
    assert told[f"{first}-1"]["inflate_by"] == "2026-11-21T11:20:00Z"
    assert told[f"{first}-1"]["own_inflate_by"] == "2026-11-21T11:30:00Z"
    assert told[f"{second}-1"]["blocks"] == [["2026-11-21T11:00:00Z", "2026-11-21T11:20:00Z", 1]]


def test_other_programs_are_told_who_cannot_be_ready(client, orders, plan):
    *_, last = orders(60, 60, 60, 60, 60)
    plan()
    (late,) = client.get("/bench.json").json["late"]
    assert late == {
        "order": last,
        "later_part": False,
        "ready_by": "2026-11-21T12:00:00Z",
        "ready_at": "2026-11-21T12:30:00Z",
    }
