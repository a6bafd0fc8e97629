"""The plan of the whole bench as the pages show it."""

import re
from datetime import timedelta

import pytest

from app.planner import Planner
from tests.actions.builders import FULL_BY_NOON, at, line, order_request, take
from tests.places.marks import marked, marks, text_of
from tests.places.payloads import Page, words


@pytest.fixture
def plan(app):
    """Makes the plan, as the server does after every write."""
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
    assert "data-one-person" not in page
    assert 'data-finishing-start="11:40"' in client.get(f"/bench/batches/{second}-1").text


def test_a_ticket_tells_the_plan(client, orders, plan):
    (number,) = orders(24)
    plan()
    page = client.get(f"/bench/batches/{number}-1").text
    assert '<span class="batch-plan">11:30 to 11:50</span>' in page
    assert 'data-finishing-start="11:50"' in page


DUE, READY = "2026-11-21T12:00:00+00:00", "2026-11-21T12:30:00+00:00"


def test_who_cannot_be_ready_is_named_with_whom_to_call(client, orders, plan):
    *others, last = orders(60, 60, 60, 60, 60)
    plan()
    page = client.get("/bench").text
    risks = page.partition('data-role="risk"')[2].partition("</section>")[0]
    (risk,) = marked(risks, "order")
    assert (risk["data-order"], risk["data-ready-by"], risk["data-ready-at"]) == (str(last), DUE, READY)
    assert risk["data-proved"] == "true"
    said = words(risks)
    assert f"{last} Wilhelmina Hart 01632 960101" in said
    assert all(one in said for one in ("12:00", "12:30"))
    assert {str(one) for one in others} >= set(re.findall(r"\border (\d+)", said)) - {str(last)} != set()
    pickups = client.get("/pickups/").text
    (late,) = marked(pickups, "late-order")
    assert (late["data-late-order"], late["data-ready-by"], late["data-ready-at"]) == (str(last), DUE, READY)
    assert "12:30" in text_of(pickups, f"order-{last}")
    order = client.get(f"/counter/orders/{last}").text
    assert (marks(order, "ready"), marks(order, "ready-at")) == (["late"], [READY])
    assert "12:30" in text_of(order, "ready-status")
    order = client.get(f"/counter/orders/{others[0]}").text
    assert (marks(order, "ready"), marks(order, "ready-at")) == (["ready"], [])


def test_what_was_not_started_in_time_is_late_however_often_it_is_planned_again(client, orders, plan, now):
    """Its own latest start was half past eleven."""
    (number,) = orders(24)
    now.move_to(at(11, 45))
    plan()
    said = words(client.get("/bench").text)
    assert "15 min" in client.get("/bench").text.partition("data-badge>")[2].partition("</span>")[0]
    assert client.get("/bench.json").json["batches"][0]["state"] == "late"
    assert f"{number} Wilhelmina Hart" in said


def test_what_is_late_is_not_asked_to_wait_though_no_start_of_it_is_safe(client, database, catalogue, plan, now):
    """The plan moves its start to the next minutes that still fit."""
    with database.writing() as session:
        hours = FULL_BY_NOON | {"lasts_until": at(20, days=1), "accepted_risk": "Fine."}
        number = take(session, order_request(catalogue, line(catalogue), **hours)).number
    now.move_to(at(11, 44))
    plan()
    (batch,) = client.get("/bench.json").json["batches"]
    assert (batch["state"], batch["inflate_by"] > "2026-11-21T11:44:00Z") == ("late", True)
    start = client.post(f"/bench/batches/{number}-1/taps", data={"act": "start", "client_key": "t"})
    assert start.status_code == 303


def test_when_to_finish_is_told_when_all_is_filled_and_at_the_pick_ups(client, orders, plan):
    (number,) = orders(24)
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    plan()
    assert 'data-finishing-start="11:50"' in client.get("/bench").text
    assert "11:50" in words(client.get("/pickups/").text)


def test_what_changed_is_told_for_a_day(client, orders, plan, now):
    orders(60, 60, 60, 60)
    plan()
    assert 'id="news"' not in client.get("/bench").text
    were = Page(client.get("/bench/staff?day=2026-11-21&from=8&to=9&by=-1").text).values["shown_shifts"]
    client.post(
        "/bench/staff", data={"day": "2026-11-21", "from": "8", "to": "9", "by": "-1", "shown_shifts": were}
    )
    plan()
    said = words(client.get("/bench").text.partition('id="news"')[2])
    assert re.search(r"12:[1-5]\d .*12:00", said)
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
    assert "data-stale" not in client.get("/bench").text
    with_one_more = orders(24, 24)
    assert "data-stale" in client.get("/bench").text
    plan()
    assert "data-stale" not in client.get("/bench").text
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


def test_what_is_due_today_stands_first_today_though_it_is_planned_for_a_later_day(client, orders, plan, now):
    """In the evening what should have been ready at noon no longer fits in today."""
    late = orders(60, 60, 60, 60, 60)
    now.move_to(at(16, 50))
    plan()
    page = client.get("/bench").text
    rows = {one["id"]: one for one in marked(page, "ready-by") if "id" in one}
    assert [*rows] == [f"batch-{number}-1" for number in late]
    assert {row["data-state"] for row in rows.values()} == {"late"}
    assert all("data-order-late" in row for row in rows.values())
    assert any(row["data-planned"] > at(0, days=1).isoformat() for row in rows.values())
    assert set(marks(page, "at-once")) == {"true"}
    assert 'id="ahead"' not in page


def test_a_ticket_says_first_that_its_order_is_late_and_that_its_finishing_starts_too_late(client, orders, plan):
    *_, late = orders(60, 60, 60, 60, 60)
    plan()
    page = client.get(f"/bench/batches/{late}-1").text
    assert page.index("data-order-late") < page.index('class="progress"')
    assert marks(page, "finishing-late") == ["true"]
    in_time = client.get(f"/bench/batches/{late - 1}-1").text
    assert ("data-order-late" in in_time, marks(in_time, "finishing-late")) == (False, ["false"])


def test_a_late_batch_counts_from_its_own_latest_start_and_says_when_it_is_planned(client, orders, plan, now):
    late = orders(60, 60, 60, 60, 60)
    now.move_to(at(16, 50))
    plan()
    page = client.get(f"/bench/batches/{late[-1]}-1").text
    assert marks(page, "at-once") == ["true"]
    (batch,) = [one for one in client.get("/bench.json").json["batches"] if one["key"] == f"{late[-1]}-1"]
    said = page.partition('class="batch-time">')[2].partition("<")[0]
    assert said == batch["own_inflate_by"][11:16]
    assert batch["own_inflate_by"] < batch["inflate_by"]
    order = client.get(f"/counter/orders/{late[-1]}").text
    assert len(marked(order, "planned-late")) == 1
    start, ready = re.findall(r'class="strip-mark[^"]*" d="M([\d.]+) ', page)[:2]
    assert float(start) < float(ready)
