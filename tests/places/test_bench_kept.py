"""What the board keeps drawn: never longer than it shows things as they are, and nothing of one answer alone."""

import re
from dataclasses import fields, replace
from datetime import date, datetime, timedelta
from enum import Enum

import pytest
from sqlalchemy import update

from app.actions.records.history import touch_board
from app.places.bench.board import kept_board
from app.places.bench.jobs import JobSource, kept_jobs
from app.planner import Planner
from app.store.models import Order
from app.store.queries.bench import BoardRow, batches_of_day
from app.store.queries.plan import SavedBlock
from app.web.days import read_shop_day
from app.web.htmx import MAX_PAGE_AGE
from app.web.marks import SIGN
from app.web.requests import request_context
from app.web.wording.plan import PlanOfBatch, PlanWords
from tests.places.marks import marked, marks
from tests.places.payloads import take

LATER = timedelta(minutes=1)


@pytest.fixture
def asking(app, number):
    """A request for the board, in the middle of it."""
    with app.test_request_context("/bench"), app.database.reading() as session, app.context_of(session):
        yield request_context()


@pytest.fixture
def job(asking):
    day = read_shop_day(None, asking)
    (row,) = batches_of_day(asking.session, day.start, day.end, is_today=True, now=asking.now)
    return kept_jobs([row], PlanWords.of(asking.plan, asking.formats, day.clock_date))[row.key]


def _other(value, now):
    """Another value of the same field."""
    if isinstance(value, Enum):
        return next(one for one in type(value) if one is not value)
    changed = {
        bool: lambda: not value,
        int: lambda: value + 1,
        float: lambda: value + 1.0,
        str: lambda: f"{value}x",
        datetime: lambda: value + LATER,
        date: lambda: value + timedelta(days=1),
        list: lambda: [*value, ["gold", 1]],
        dict: lambda: value | {"budget": 1.0},
        tuple: lambda: (SavedBlock("1001-1", None, now, now + LATER, 1),),
        type(None): lambda: now,
    }
    return changed[type(value)]()


def test_the_same_is_kept(asking, job):
    assert job.is_shown(job.source, asking.now)
    plan, row = PlanWords.of(asking.plan, asking.formats, job.source.plan.day), job.batch.row
    assert kept_jobs([row], plan)[row.key] is job


@pytest.mark.parametrize("name", [field.name for field in fields(BoardRow)])
def test_each_value_of_a_batch_has_it_drawn_again(asking, job, name):
    row = job.source.row
    changed = replace(row, **{name: _other(getattr(row, name), asking.now)})
    assert not job.is_shown(replace(job.source, row=changed), asking.now)


@pytest.mark.parametrize("name", [field.name for field in fields(PlanOfBatch)])
def test_whatever_the_plan_says_of_it_has_it_drawn_again(asking, job, name):
    plan = job.source.plan
    changed = replace(plan, **{name: _other(getattr(plan, name), asking.now)})
    assert not job.is_shown(replace(job.source, plan=changed), asking.now)


@pytest.mark.parametrize("name", [field.name for field in fields(JobSource) if field.name not in ("row", "plan")])
def test_so_has_the_shop_and_the_date(asking, job, name):
    changed = replace(job.source, **{name: _other(getattr(job.source, name), asking.now)})
    assert not job.is_shown(changed, asking.now)


def test_when_the_clock_changes_it_it_is_drawn_again(asking, job):
    """At seven it is kept for the five minutes of a page; a minute before it is due, for that minute."""
    assert job.until == asking.now + MAX_PAGE_AGE
    assert job.is_shown(job.source, job.until - timedelta(seconds=1))
    assert not job.is_shown(job.source, job.until)
    assert not job.is_shown(job.source, asking.now - timedelta(seconds=1))


@pytest.mark.parametrize(
    ("at", "until"),
    [("12:28", "12:30"), ("12:30", "12:31"), ("13:31", "13:32"), ("14:31", "14:36")],
    ids=["until it is due", "each minute until then", "each minute after it", "after an hour"],
)
def test_it_is_kept_until_the_next_of_its_moments(app, client, now, number, at, until):
    """It is due at 12:30 and should be started by 13:30."""
    moments = [now().replace(hour=int(one[:2]), minute=int(one[3:])) for one in (at, until)]
    now.move_to(moments[0])
    client.get("/bench")
    (kept,) = app.kept_jobs._values.values()
    assert kept.until == moments[1]


def test_a_tap_has_its_own_batch_drawn_again_and_no_other(app, client, number):
    other = take(client, client_key="key-2", bench_override="By turns.")
    client.get("/bench")
    before = {key: job for (key, _), job in app.kept_jobs._values.items()}
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    client.get("/bench")
    after = {key: job for (key, _), job in app.kept_jobs._values.items()}
    assert after[f"{other}-1"] is before[f"{other}-1"]
    assert after[f"{number}-1"] is not before[f"{number}-1"]


def _keys(page):
    return re.findall(r'name="client_key" value="([^"]*)"', page)


def test_each_answer_has_keys_and_a_token_of_its_own(app, client, number):
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "start", "client_key": "s", "sure": "yes"})
    pages = [one.get("/bench").text for one in (client, client, app.test_client())]
    every = [key for page in pages for key in _keys(page)]
    assert len(every) == len(set(every)) == 3 * len(_keys(pages[0])) > 0
    tokens = {token for page in pages for token in re.findall(r'name="csrf_token" value="([^"]*)"', page)}
    assert len(tokens) >= 2
    assert all(SIGN not in page for page in pages)


def test_a_kept_board_is_not_that_of_another_name_or_day(client, number):
    first, other = (client.get(address).text for address in ("/bench", "/bench?day=2026-11-22"))
    assert (len(marks(first, "state")), len(marks(other, "state"))) == (1, 0)
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "start", "client_key": "s", "sure": "yes"})
    assert "Noor" not in client.get("/bench").text
    with client.session_transaction() as session:
        session["who"] = "Noor"
    assert "Noor" in client.get("/bench").text


def test_a_board_is_kept_until_something_on_it_changes(app, client, number):
    with app.test_request_context("/bench"), app.database.reading() as session, app.context_of(session):
        day = read_shop_day(None, request_context())
        kept = kept_board(day, "")
        assert kept_board(day, "") is kept
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "start", "client_key": "s", "sure": "yes"})
    with app.test_request_context("/bench"), app.database.reading() as session, app.context_of(session):
        assert kept_board(day, "").digest != kept.digest


def test_what_was_refused_is_not_kept(client, now, number):
    """The board that answers a press says what was wrong; it is no other device's board."""
    sent = {"act": "fill", "count": "25", "client_key": "t", "sure": "yes"}
    assert "board-problem" in client.post(f"/bench/batches/{number}-1/taps?back=board", data=sent).text
    assert "board-problem" not in client.get("/bench").text


def test_once_the_times_are_updated_the_board_says_so_no_longer(app, client, number):
    assert "data-stale" in client.get("/bench").text
    Planner(app.database).plan_now()
    assert "data-stale" not in client.get("/bench").text


def test_what_can_be_done_with_a_row_comes_when_it_is_opened(client, number):
    second = take(client, client_key="key-2", bench_override="By turns.")
    row = client.get("/bench").text.partition(f'id="batch-{second}-1"')[2].partition("</li>")[0]
    assert "<form" not in row
    (address,) = marks(f"<li {row}</li>", "more")
    part = client.get(address, headers={"HX-Request-Type": "partial"}).text
    assert 'value="start"' in part
    assert f'id="why-{second}-1"' in part
    assert client.get(address).location == f"/bench/batches/{second}-1"
    assert client.get("/bench/batches/9-9/more", headers={"HX-Request-Type": "partial"}).status_code == 404


def _answer_to(client, version):
    headers = {"HX-Request-Type": "partial", "X-Board-Shown": version}
    return client.get("/bench", query_string={"v": version}, headers=headers)


def test_a_page_that_says_what_it_shows_is_sent_only_the_rows_that_changed(client, number):
    others = [take(client, client_key=f"more-{place}", bench_override="By turns.") for place in range(3)]
    (version,) = marks(client.get("/bench").text, "version")
    client.post(f"/bench/batches/{others[2]}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    answer = _answer_to(client, version)
    kept = [one["id"] for one in marked(answer.text, "kept")]
    assert kept == [f"batch-{others[0]}-1", f"batch-{others[1]}-1"]
    assert f'id="batch-{others[2]}-1" data-state="filled"' in " ".join(answer.text.split())
    assert answer.headers["X-Board-Since"] == version
    whole = client.get("/bench", headers={"HX-Request-Type": "partial"})
    assert (marks(whole.text, "kept"), "X-Board-Since" in whole.headers) == ([], False)


@pytest.mark.parametrize("version", ["1.2.abc", "x", "1.2"])
def test_whoever_shows_a_board_that_nobody_knows_is_sent_all_of_it(client, number, version):
    take(client, client_key="key-2", bench_override="By turns.")
    client.get("/bench")
    answer = _answer_to(client, version)
    assert (answer.status_code, marks(answer.text, "kept")) == (200, [])
    assert len(marks(answer.text, "state")) == 2


def _panel(page, key):
    return page.partition(f'id="batch-{key}"')[2].partition("</li>")[0]


def test_a_panel_that_is_kept_has_keys_of_its_own_in_each_answer_and_each_counts(client, number):
    """A press whose answer was lost, and that somebody undid, can be pressed again."""
    key = f"{number}-1"
    for _ in range(2):
        (start,) = _keys(_panel(client.get("/bench").text, key))
        client.post(f"/bench/batches/{key}/taps", data={"act": "start", "client_key": start, "sure": "yes"})
        page = client.get("/bench").text
        assert marked(page, "filled")[0]["data-state"] == "started"
        (tap,) = re.findall(r'name="tap" value="([0-9]+)"', _panel(page, key))
        client.post(f"/bench/batches/{key}/undo", data={"tap": tap})


def test_a_panel_says_who_fills_it_to_all_but_that_one(client, number):
    with client.session_transaction() as session:
        session["who"] = "Isolde"
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "start", "client_key": "s", "sure": "yes"})
    told = []
    for who in ("Isolde", "Ida", "Isolde"):
        with client.session_transaction() as session:
            session["who"] = who
        panel = _panel(client.get("/bench").text, f"{number}-1")
        told.append("Isolde" in re.sub(r"data-by=\S+", "", panel))
    assert told == [False, True, False]


def test_late_orders_are_put_into_words_again_when_the_caller_or_the_plan_changes(app, client, now, number):
    now.tick(timedelta(hours=7))  # it should have been started an hour ago
    Planner(app.database).plan_now()
    first = client.get("/bench").text.partition('class="risk-list"')[2]
    assert marks(f"<ul {first}", "order") == [str(number)]
    assert "Liv Berg" not in first
    with app.database.writing() as session:
        session.execute(update(Order).values(customer="Liv Berg"))
        touch_board(session)
    assert "Liv Berg" in client.get("/bench").text.partition('class="risk-list"')[2]
    now.tick(timedelta(minutes=30))
    Planner(app.database).plan_now()
    then = client.get("/bench").text.partition('class="risk-list"')[2]
    assert marks(f"<ul {then}", "ready-at") != marks(f"<ul {first}", "ready-at")
