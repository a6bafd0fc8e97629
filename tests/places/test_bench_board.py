"""The bench: what to fill next, sorted by the hour, each state in words."""

import re
from datetime import timedelta

import pytest

from app.web.batch_state import STATE_WORDS, BatchState
from app.web.wording.forms import CHECK_YEAR, describe_missing_day, enter_date
from tests.numbers_in import numbers_in
from tests.places.answers import having
from tests.places.marks import marked, marks, text_of
from tests.places.payloads import CALLED_OFF, Page, payload, take, words

DAYS = ("event_start__day", "lasts_until__day", "hand_over_time__day")
TREATED = {"lines__0__treated": "y", "lasts_until__hour": "22:00"}


def _rows(page):
    """What each batch on a board says, by its key, in their order."""
    parts = re.split(r'<li\s+class="batch ', page)[1:]
    return {re.search(r'id="batch-([^"]+)"', part)[1]: words("<" + part.partition("</li>")[0]) for part in parts}


def test_a_row_says_all_that_the_decorator_must_know(client, number):
    page = client.get("/bench").text
    (said,) = _rows(page).values()
    for wanted in ("24 × 11 in latex", "12 red 12 white", "Helium, 11 in", "min"):
        assert wanted in said
    assert [(one["data-colour"], one["data-count"]) for one in marked(page, "colour")] == [
        ("red", "12"),
        ("white", "12"),
    ]
    assert f"{number} Wilhelmina Hart" in said
    assert marks(page, "ready-by") == ["2026-11-21T14:00:00+00:00"]
    assert "14:00" in said


def test_the_hour_to_begin_by_comes_first(client):
    take(client)
    page = client.get("/bench").text
    first = re.search(r'<li\s+class="batch.*?<p class="[^"]*batch-time">(\d\d:\d\d)</p>', page, re.DOTALL)
    assert first[1] == "13:30"


def test_batches_are_sorted_by_the_hour_to_begin_by(client):
    late = take(client)
    early = take(client, client_key="key-2", hand_over_time__hour="10:00", lasts_until__hour="18:00")
    middle = take(client, client_key="key-3", hand_over_time__hour="12:00")
    assert list(_rows(client.get("/bench").text)) == [f"{early}-1", f"{middle}-1", f"{late}-1"]


@pytest.mark.parametrize(
    ("hours", "state", "word"),
    [
        (0, "early", "10:35"),
        (3.5, "early", "5\N{NO-BREAK SPACE}min"),
        (4, "open", STATE_WORDS[BatchState.OPEN]),
        (5.5, "due", "60\N{NO-BREAK SPACE}min"),
        (6.4, "due", "6\N{NO-BREAK SPACE}min"),
        (8, "late", "1 h 30 min"),
    ],
)
def test_each_state_has_its_word_and_its_shape(client, now, hours, state, word):
    """What must wait says until when, what is due in how many minutes, and what is late by how much: its latest
    start was half past one, its first safe one at 10:35."""
    take(client, lasts_until__hour="20:00")
    now.tick(timedelta(hours=hours))
    page = client.get("/bench").text
    assert marks(page, "state") == [state]
    assert f"icon-{state}" in page
    assert word in page.partition("data-badge>")[2].partition("</span>")[0]


def test_too_early_says_from_when_and_the_chance_if_it_is_started_now(client):
    number = take(client, lasts_until__hour="20:00")
    board, ticket = client.get("/bench").text, client.get(f"/bench/batches/{number}-1").text
    chances = [re.search(r'data-chance-now="(\d+)%"', page)[1] for page in (board, ticket)]
    assert chances[0] == chances[1]
    assert int(chances[0]) < 95
    assert f"{chances[0]}%" in words(ticket)
    assert (marks(board, "early"), marks(board, "starts-from")) == (["sinks"], ["2026-11-21T10:35:00+00:00"])
    assert "10:35" in words(board)


@pytest.mark.parametrize("gas", ["air", "helium"])
def test_in_a_closed_shop_nothing_can_be_started_before_it_opens(client, now, gas):
    """Air may be filled at any hour, helium for this afternoon since the night; the shop opens at eight."""
    take(client, lines__0__gas=gas, lasts_until__hour="16:00")
    page = client.get("/bench").text
    assert (marks(page, "early"), marks(page, "starts-from")) == (["closed"], ["2026-11-21T08:00:00+00:00"])
    badge = page.partition("data-badge>")[2].partition("</span>")[0]
    assert "08:00" in badge
    now.tick(timedelta(minutes=50))
    assert "08:00" in client.get("/bench").text.partition("data-badge>")[2].partition("</span>")[0]
    now.tick(timedelta(minutes=10))
    assert marks(client.get("/bench").text, "state") == ["open"]


def test_what_later_days_offer_has_the_time_of_the_opening(client, now):
    sunday = dict.fromkeys(DAYS, "2026-11-22")
    for days in ({}, sunday):
        take(client, **days, lines__0__gas="air", client_key=str(days))
    page = client.get("/bench").text
    assert "08:00" in page.partition('id="ahead-title"')[2].partition("</h2>")[0]
    now.tick(timedelta(hours=1))
    assert "08:00" not in client.get("/bench").text.partition('id="ahead-title"')[2].partition("</h2>")[0]


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
    (row,) = re.findall(r'<li\s+class="batch .*?</li>', _seen(client.get("/bench").text), re.DOTALL)
    assert 10 < _visible_words(row) <= most


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
    today = take(client, client_key="key-2")
    assert list(_rows(client.get("/bench").text)) == [f"{today}-1"]
    assert list(_rows(client.get("/bench?day=2026-11-24").text)) == [f"{number}-1"]


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
        settled = client.post(address, data=sent, headers=part).text
        assert (marks(settled, "leftover"), marks(settled, "unsettled")) == ([outcome], [])
        undone = client.post(f"{address}/undo")
        assert undone.location == "/bench#leftovers"
        open_again = client.get("/bench").text
        assert (marks(open_again, "leftover"), marks(open_again, "unsettled")) == (["open"], ["1"])
    assert client.post(address, data={"outcome": "x", "client_key": "x"}).status_code == 422


def test_what_was_not_made_says_so_on_the_pages_of_its_order(client, now, number):
    now.tick(timedelta(days=1))
    confirmation = f"/counter/orders/{number}/confirmation"
    made = client.get(confirmation).text
    assert (marks(made, "state"), len(marks(made, "care"))) == ([], 1)
    client.post(f"/bench/orders/{number}/leftover", data={"outcome": "not-made", "client_key": "k"})
    not_made = client.get(confirmation).text
    assert (marks(not_made, "state"), marks(not_made, "care")) == (["not-made"], [])
    order, ticket = (client.get(page).text for page in (f"/counter/orders/{number}", f"/bench/batches/{number}-1"))
    assert marks(order, "not-made") == ["2026-11-22T07:00:00+00:00"]
    assert f'action="/bench/orders/{number}/leftover/undo"' in order
    assert marks(ticket, "state") == ["not-made"]
    assert 'name="act"' not in ticket
    assert f'id="why-{number}-1"' not in order + ticket
    assert (marks(order, "owing"), marks(order, "due")) == (["settled"], ["0"])
    assert marks(client.get(f"/office/orders/{number}").text, "sale") == ["no"]
    assert marks(client.get("/counter/orders?state=not-made").text, "money") == ["settled"]
    assert f'id="order-{number}"' not in client.get("/pickups").text


@pytest.mark.parametrize(("is_started", "has_reasons"), [(False, False), (True, True)])
def test_a_cancelled_order_says_no_times_of_what_was_never_started(client, number, is_started, has_reasons):
    if is_started:
        client.post(f"/bench/batches/{number}-1/taps", data={"act": "start", "client_key": "t", "sure": "yes"})
    assert f'id="why-{number}-1"' in client.get(f"/counter/orders/{number}").text
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    page = client.get(f"/counter/orders/{number}").text
    assert marks(page, "progress") == ["cancelled"]
    assert (f'id="why-{number}-1"' in page) == has_reasons


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
    number, today = take(client, **column), take(client, client_key="key-2")
    page = client.get("/bench").text
    assert list(_rows(page)) == [f"{today}-1", f"{number}-1"]
    assert list(_rows(page.partition('id="ahead"')[2])) == [f"{number}-1"]


MONDAY = dict.fromkeys(DAYS, "2026-11-23")


def _now(page):
    """The day that Now names, if it is a later one, and the batches of its panels."""
    part = page.partition('data-role="now"')[2].partition("</section>")[0]
    return marks(part, "day"), list(_rows(part))


def test_once_today_is_done_the_next_days_jobs_stand_in_now_and_next(client, number):
    first = take(
        client, client_key="key-2", **MONDAY | {"hand_over_time__hour": "10:00", "lasts_until__hour": "18:00"}
    )
    second = take(client, client_key="key-3", **MONDAY)
    take(client, client_key="key-4", **dict.fromkeys(DAYS, "2026-11-24"))
    assert _now(client.get("/bench").text) == ([], [f"{number}-1"])
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    page = client.get("/bench").text
    assert _now(page) == (["2026-11-23"], [f"{first}-1"])
    assert marks(page, "role").count("next") == 1
    assert f'id="batch-{second}-1"' in page.partition('id="next"')[2]


def test_all_hooks_stand_on_a_board_without_a_job(client):
    page = client.get("/bench").text
    assert marks(page, "role") == ["now", "risk", "done"]
    assert _now(page) == ([], [])


def test_what_was_filled_too_early_is_at_risk_until_its_customer_knows(client):
    number = take(client, lasts_until__hour="20:00")
    sent = {"act": "finish", "client_key": "t", "sure": "yes"}
    client.post(f"/bench/batches/{number}-1/taps", data=sent)
    page = client.get("/bench").text
    [risk] = marked(page, "unsafe")
    assert "01632 960101" in page.partition("data-unsafe")[2].partition("</li>")[0]
    assert (risk["data-unsafe"], risk["data-was-filled"]) == (f"{number}-1", "yes")
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    assert not marked(client.get("/bench").text, "unsafe")


def test_a_batch_that_was_filled_for_a_cancelled_order_is_done(client, number):
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    page = client.get("/bench").text
    assert f'id="batch-{number}-1"' in page.partition('data-role="done"')[2]
    assert STATE_WORDS[BatchState.CANCELLED] not in page


def test_too_early_from_the_board_asks_there_and_a_second_press_starts_it(client):
    number = take(client, lasts_until__hour="20:00")
    tapped = f"/bench/batches/{number}-1/taps?back=board"
    asked = client.post(tapped, data={"act": "start", "client_key": "t"}, headers={"HX-Request-Type": "partial"})
    assert (asked.status_code, marks(asked.text, "question")) == (422, ["too-early"])
    poll = re.findall(r'hx-get="([^"]+)"', asked.text)[0]
    assert marks(client.get(poll.replace("&amp;", "&").partition("&v=")[0]).text, "question") == ["too-early"]
    client.post(tapped, data={"act": "start", "client_key": "t2", "sure": "yes"})
    assert marks(client.get("/bench").text, "state") == ["started"]


def test_the_panel_of_the_name_the_device_works_as_comes_first(client):
    """Noor works at another device; here nobody gave a name."""
    numbers = [take(client, client_key=f"key-{n}", bench_override="By turns.") for n in range(3)]
    with client.session_transaction() as session:
        session["who"] = "Noor"
    _start(client, numbers[0])
    with client.session_transaction() as session:
        session["who"] = "Isa"
    page = client.get("/bench").text
    assert _now(page)[1] == [f"{numbers[1]}-1", f"{numbers[0]}-1"]
    _start(client, numbers[2])
    page = client.get("/bench").text
    assert _now(page)[1] == [f"{numbers[2]}-1", f"{numbers[0]}-1"]
    assert marks(page, "by") == ["Isa", "Noor"]


def _start(client, number):
    sent = {"act": "start", "client_key": f"start {number}", "sure": "yes"}
    assert client.post(f"/bench/batches/{number}-1/taps?back=board", data=sent).status_code == 303


def test_the_last_tap_of_a_panel_is_undone_from_the_board(client, number):
    _start(client, number)
    sent = {"act": "fill", "count": "5", "client_key": "five"}
    client.post(f"/bench/batches/{number}-1/taps?back=board", data=sent)
    page = client.get("/bench").text
    assert marks(page, "filled") == ["5"]
    (tap,) = re.findall(r'name="tap" value="(\d+)"', page)
    answer = client.post(f"/bench/batches/{number}-1/undo?back=board", data={"tap": tap})
    assert answer.location == "/bench"
    assert marks(client.get("/bench").text, "filled") == ["0"]


def test_a_tap_that_is_refused_says_why_on_the_board(client, number):
    sent = {"act": "fill", "count": "25", "client_key": "t", "sure": "yes"}
    answer = client.post(f"/bench/batches/{number}-1/taps?back=board", data=sent)
    assert answer.status_code == 422
    assert "24" in text_of(answer.text, "board-problem")


def test_a_board_that_counts_minutes_is_new_each_minute(client, now, number):
    def is_new(version):
        return client.get("/bench", query_string={"v": version}).status_code == 200

    version = marks(client.get("/bench").text, "version")[0]
    now.tick(timedelta(minutes=1))
    assert not is_new(version)
    now.tick(timedelta(hours=6))
    version = marks(client.get("/bench").text, "version")[0]
    now.tick(timedelta(seconds=30))
    assert not is_new(version)
    now.tick(timedelta(seconds=30))
    assert is_new(version)


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
    answer = client.get("/bench", query_string={"day": day, "ask": "1001-1"})
    assert (answer.status_code, answer.location) == (302, "/bench?ask=1001-1")
    page = client.get(answer.location)
    assert marks(page.text, "flash") == ["problem"]
    assert sentence in words(page.text)
    part = client.get("/bench", query_string={"day": day}, headers={"HX-Request-Type": "partial"})
    assert (part.status_code, part.text) == (400, sentence)


def test_htmx_gets_the_very_board_of_the_page(client):
    take(client)
    part = client.get("/bench", headers={"HX-Request-Type": "partial"})
    assert _without_keys(part.text).strip() in _without_keys(client.get("/bench").text)
    assert "<html" not in part.text


def _without_keys(page):
    return re.sub(r'name="(client_key|csrf_token)" value="[^"]*"', "", page)


FOIL = {"lines__1__what": "balloon_type:12", "lines__1__quantity": "2", "lines__1__colours": "gold"}


def _changed_after(client, act, fate, lines):
    """The key of the foil of an order that was changed after this tap, and its board."""
    number = take(client, **FOIL)
    board = client.get("/bench").text
    key = next(key for key, said in _rows(board).items() if "gold" in said)
    client.post(f"/bench/batches/{key}/taps", data={"act": act, "client_key": "t", "sure": "yes"})
    sent = payload(version="1", surplus=fate, accepted_risk="Fine.", **lines)
    assert client.post(f"/counter/orders/{number}/change", data=sent).status_code == 303
    return key, client.get("/bench").text


def test_what_a_changed_order_no_longer_needs_is_left_over_and_nothing_to_do(client):
    key, board = _changed_after(client, "finish", "spares", {})
    states = {one["id"]: one["data-state"] for one in having(Page(board), "data-ready-by")}
    assert states[f"batch-{key}"] == "not-needed"
    assert f'id="batch-{key}"' in board.partition('data-role="done"')[2]
    ticket = client.get(f"/bench/batches/{key}").text
    assert marks(ticket, "filled") == ["2"]
    assert "0 ×" not in words(board) + words(ticket)


def test_without_filled_balloons_it_leaves_the_board(client):
    key, board = _changed_after(client, "start", None, {})
    assert f"batch-{key}" not in board
    ticket = client.get(f"/bench/batches/{key}").text
    assert 'data-state="not-needed"' in ticket


def test_what_is_filled_beyond_a_changed_order_is_spare(client):
    key, board = _changed_after(client, "finish", "spares", FOIL | {"lines__1__quantity": "1"})
    ticket = client.get(f"/bench/batches/{key}").text
    progress = ticket.partition('class="progress">')[2].partition("</p>")[0]
    assert numbers_in(progress) == [1, 1, 1]
    assert f'id="batch-{key}"' in board.partition('data-role="done"')[2]


def test_what_has_not_happened_yet_by_the_clock_is_not_the_last_that_was_filled(client, now, number):
    now.tick(timedelta(hours=2))
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    assert f'data-last="{number}-1"' in client.get("/bench").text
    now.tick(-timedelta(hours=1))
    page = client.get("/bench").text
    assert f'id="batch-{number}-1"' in page
    assert "data-last" not in page
