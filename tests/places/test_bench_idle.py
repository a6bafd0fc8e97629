"""A batch that was started and that nobody taps: the board asks, and the plan no longer counts on it."""

from datetime import timedelta

import pytest

from app.planner import Planner
from tests.actions.builders import at
from tests.places.marks import marks
from tests.places.payloads import Page, take

PART = {"HX-Request-Type": "partial"}


@pytest.fixture
def idle(client, now):
    """30 balloons, which take 24 minutes, due at half past ten; one was filled at ten to nine."""
    lines = {"lines__0__quantity": "30", "lines__0__colours": "red"}
    number = take(client, **lines, hand_over_time__hour="10:30", lasts_until__hour="17:00")
    now.move_to(at(8, 50))
    _tap(client, number, "fill", count="1")
    now.move_to(at(10))
    return number


def _tap(client, number, act, back="", **more):
    sent = {"act": act, "client_key": f"{act} {more}", "sure": "yes"} | more
    headers = PART if back else {}
    return client.post(f"/bench/batches/{number}-1/taps{back}", data=sent, headers=headers)


def _state(client):
    return client.get("/bench.json").json["batches"][0]["state"]


def test_board_and_ticket_ask_with_two_answers(client, idle):
    for address in ("/bench", f"/bench/batches/{idle}-1"):
        page = client.get(address).text
        assert marks(page, "question") == ["still-going"]
        assert marks(page, "answer") == ["continue", "stop"]
    assert _state(client) == "idle"


def test_a_page_asks_as_soon_as_twice_the_work_has_passed(client, now, idle):
    now.move_to(at(9, 37))
    version = marks(client.get("/bench").text, "version")[0]
    now.move_to(at(9, 38) - timedelta(seconds=1))
    assert client.get("/bench", query_string={"v": version}).status_code == 204
    now.move_to(at(9, 38))
    assert marks(client.get("/bench", query_string={"v": version}).text, "question") == ["still-going"]


def test_who_is_at_risk_is_told_as_soon_as_nothing_counts_as_going_on(client, app, now, idle):
    """29 of 30 balloons are more than 20 minutes of work, and then they must be tied and bagged."""
    plan = Planner(app.database).plan_now
    now.move_to(at(9, 30))
    plan()
    assert marks(client.get("/bench").text, "order") == []
    now.move_to(at(10))
    assert plan()
    assert marks(client.get("/bench").text, "order") == [str(idle)]


@pytest.mark.parametrize(("act", "state"), [("continue", "started"), ("stop", "stopped")])
def test_an_answer_on_the_board_is_seen_on_each_tablet_and_asked_no_more(client, idle, act, state):
    answer = _tap(client, idle, act, back="?back=board")
    assert 'id="board"' in answer.text
    assert marks(answer.text, "question") == []
    ticket = client.get(f"/bench/batches/{idle}-1").text
    assert (Page(ticket).by_id["ticket"]["data-state"], marks(ticket, "question")) == (state, [])
    assert Page(ticket).by_id["ticket"]["data-filled"] == "1"


def test_without_javascript_an_answer_leads_back_to_the_board_of_its_day(client, idle):
    sent = {"act": "stop", "client_key": "one"}
    answer = client.post(f"/bench/batches/{idle}-1/taps?back=board&day=2026-11-21", data=sent)
    assert (answer.status_code, answer.location) == (303, "/bench?day=2026-11-21")
    ticket = client.get(f"/bench/batches/{idle}-1").text
    assert "tap-continue" in Page(ticket).by_id
    assert 'data-tap-act="stop"' in ticket
