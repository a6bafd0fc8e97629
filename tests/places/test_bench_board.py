"""The bench: what to fill next, sorted by the hour, each state in words."""

import re
from datetime import timedelta

import pytest

from app.web.batch_state import STATE_WORDS, BatchState
from app.web.wording.forms import CHECK_YEAR, describe_missing_day, enter_date
from tests.places.marks import marks
from tests.places.payloads import take, words

DAYS = ("event_start__day", "lasts_until__day", "hand_over_time__day")
TREATED = {"lines__0__treated": "y", "lasts_until__hour": "22:00"}


def _rows(page):
    """What each batch on a board says, by its key, in their order."""
    parts = re.split(r'<li\s+class="batch ', page)[1:]
    return {re.search(r'id="batch-([^"]+)"', part)[1]: words("<" + part.partition("</li>")[0]) for part in parts}


def test_a_row_says_all_that_the_decorator_must_know(client, number):
    page = client.get("/bench").text
    (said,) = _rows(page).values()
    for wanted in ("24 × 11 in latex", "12 red, 12 white", "11 in", "helium", "min"):
        assert wanted in said
    assert f"{number} Wilhelmina Hart" in said
    assert marks(page, "ready-by") == ["2026-11-21T14:00:00+00:00"]
    assert "14:00" in said


def test_the_hour_to_begin_by_comes_first(client):
    take(client)
    page = client.get("/bench").text
    first = re.search(r'<li\s+class="batch.*?<span class="batch-time">(\d\d:\d\d)</span>', page, re.DOTALL)
    assert first[1] == "13:30"


def test_batches_are_sorted_by_the_hour_to_begin_by(client):
    late = take(client)
    early = take(client, client_key="key-2", hand_over_time__hour="10:00", lasts_until__hour="18:00")
    middle = take(client, client_key="key-3", hand_over_time__hour="12:00")
    assert list(_rows(client.get("/bench").text)) == [f"{early}-1", f"{middle}-1", f"{late}-1"]


@pytest.mark.parametrize(
    ("hours", "state", "word"),
    [
        (0, "early", STATE_WORDS[BatchState.EARLY]),
        (4, "open", STATE_WORDS[BatchState.OPEN]),
        (5.5, "due", STATE_WORDS[BatchState.DUE]),
        (8, "late", "1 h 30 min"),
    ],
)
def test_each_state_has_its_word_and_its_shape(client, now, hours, state, word):
    """What is late says by how much: its latest start was half past one."""
    take(client, lasts_until__hour="20:00")
    now.tick(timedelta(hours=hours))
    page = client.get("/bench").text
    assert marks(page, "state") == [state]
    assert f"icon-{state}" in page
    assert word in words(page.partition('class="batch-state"')[2].partition("</a>")[0])


def test_too_early_says_from_when_and_the_chance_if_it_is_started_now(client):
    number = take(client, lasts_until__hour="20:00")
    board, ticket = client.get("/bench").text, client.get(f"/bench/batches/{number}-1").text
    chances = [re.search(r'data-chance-now="(\d+)%"', page)[1] for page in (board, ticket)]
    assert chances[0] == chances[1]
    assert int(chances[0]) < 95
    assert f"{chances[0]}%" in words(ticket)
    assert (marks(board, "early"), marks(board, "starts-from")) == (["sinks"], ["2026-11-21T10:35:00+00:00"])
    assert "10:35" in words(board)


VISIBLE_WORD = re.compile(r"\S*\w\S*")
UNSEEN = (r"<svg.*?</svg>", r"<details.*?<summary[^>]*>(.*?)</summary>.*?</details>", r"<progress.*?</progress>")


def _seen(page):
    """The page without what nobody reads who opens nothing."""
    for unseen in UNSEEN:
        page = re.sub(unseen, r"\1" if "(" in unseen else "", page, flags=re.DOTALL)
    return page


def _visible_words(part):
    return len(VISIBLE_WORD.findall(words(_seen(part))))


@pytest.mark.parametrize(("hours", "most"), [(0, 32), (4, 30), (5.5, 30), (8, 30)])
def test_a_row_is_short(client, now, hours, most):
    """One that must wait also says why."""
    take(client, lasts_until__hour="20:00")
    now.tick(timedelta(hours=hours))
    row = _seen(client.get("/bench").text).partition('<li\n  class="batch ')[2].partition("</li>")[0]
    assert 10 < _visible_words("<" + row) <= most


@pytest.mark.parametrize("started", [False, True])
@pytest.mark.parametrize("hours", [0, 4, 5.5, 8])
def test_a_ticket_is_short_down_to_its_taps(client, now, hours, started):
    number = take(client, lasts_until__hour="20:00")
    now.tick(timedelta(hours=hours))
    if started:
        sent = {"act": "burst", "colour": "red", "client_key": "t"}
        client.post(f"/bench/batches/{number}-1/taps", data=sent)
    ticket = client.get(f"/bench/batches/{number}-1").text
    head = ticket.partition('id="ticket"')[2].partition('<div class="ticket-columns">')[0]
    assert 'id="tap-finish"' in head
    assert 20 < _visible_words("<article " + head) <= 60


def test_other_days_are_shown_by_date(client):
    number = take(client, event_start__day="2026-11-24", lasts_until__day="", hand_over_time__day="")
    assert f"{number}-1" not in _rows(client.get("/bench").text)
    assert f"{number}-1" in _rows(client.get("/bench?day=2026-11-24").text)


def test_what_was_not_done_yesterday_for_an_event_today_is_shown_today(client, now):
    number = take(client, event_start__day="2026-11-22", lasts_until__day="2026-11-22", lines__0__treated="y")
    now.tick(timedelta(days=1))
    page = client.get("/bench").text
    assert f"{number}-1" in _rows(page)
    assert not marks(page, "leftover")


def test_what_is_left_of_earlier_days_comes_after_todays_batches(client, now, number):
    now.tick(timedelta(days=1))
    today = take(client, client_key="key-2", **dict.fromkeys(DAYS, "2026-11-22"))
    page = client.get("/bench").text
    assert list(_rows(page)) == [f"{today}-1"]
    assert page.index(f'id="batch-{today}-1"') < page.index(f'id="leftover-{number}"')
    assert marks(page, "batches") == [f"{number}-1"]
    assert f"{number}-1" in _rows(client.get("/bench?day=2026-11-21").text)


def test_each_press_at_a_leftover_answers_with_the_board_and_can_be_undone(client, now, number):
    now.tick(timedelta(days=1))
    address, part = f"/bench/orders/{number}/leftover", {"HX-Request-Type": "partial"}
    for outcome in ("made", "not-made"):
        sent = {"outcome": outcome, "client_key": outcome}
        assert marks(client.post(address, data=sent, headers=part).text, "leftover") == [outcome]
        undone = client.post(f"{address}/undo")
        assert undone.location == "/bench#leftovers"
        assert marks(client.get("/bench").text, "leftover") == ["open"]
    assert client.post(address, data={"outcome": "x", "client_key": "x"}).status_code == 422


def test_what_was_not_made_says_so_on_the_pages_of_its_order(client, now, number):
    now.tick(timedelta(days=1))
    client.post(f"/bench/orders/{number}/leftover", data={"outcome": "not-made", "client_key": "k"})
    order, ticket = (client.get(page).text for page in (f"/counter/orders/{number}", f"/bench/batches/{number}-1"))
    assert marks(order, "not-made") == ["2026-11-22T07:00:00+00:00"]
    assert f'action="/bench/orders/{number}/leftover/undo"' in order
    assert marks(ticket, "state") == ["not-made"]
    assert 'name="act"' not in ticket
    assert f'id="order-{number}"' not in client.get("/pickups").text


def test_what_was_filled_yesterday_is_not(client, now, number):
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    now.tick(timedelta(days=1))
    assert f"{number}-1" not in _rows(client.get("/bench").text)


def test_batches_of_later_days_that_may_be_filled_already_are_offered(client):
    column = {
        "lines__0__gas": "air",
        "event_start__day": "2026-11-23",
        "lasts_until__day": "",
        "hand_over_time__day": "",
    }
    number = take(client, **column)
    page = client.get("/bench").text
    assert f"{number}-1" in _rows(page.partition('id="ahead"')[2])


@pytest.mark.parametrize(
    ("day", "sentence"),
    [
        ("soon", enter_date("28/11")),
        ("2026-02-30", describe_missing_day(30, "February")),
        ("1999-12-31", CHECK_YEAR),
        ("2101-01-01", CHECK_YEAR),
        ("2026-11-21T10:00", enter_date("28/11")),
    ],
)
def test_a_day_that_is_none_is_answered_with_a_sentence(client, day, sentence):
    answer = client.get("/bench", query_string={"day": day})
    assert answer.status_code == 400
    assert marks(answer.text, "status") == ["400"]
    assert sentence in words(answer.text)


def test_htmx_gets_the_very_board_of_the_page(client):
    take(client)
    part = client.get("/bench", headers={"HX-Request-Type": "partial"})
    assert part.text.strip() in client.get("/bench").text
    assert "<html" not in part.text
