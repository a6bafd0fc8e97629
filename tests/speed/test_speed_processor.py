"""What a request costs the processor, as a multiple of a bare page that is asked in the same way.

Skipped unless asked for: pytest tests/speed --benchmark-only -n0. Each page is asked in this process, without a
server, a planner or another program in its way, so that only the request itself is counted.
"""

import itertools
import re
import statistics
import time

import pytest
from flask import Flask

from app import create_app
from app.actions.kept import KeptFindings
from app.config import OWN_HOSTS, Config
from tests.speed.lines import filled, tomorrow_noon
from tests.speed.shops import (
    BATCHES,
    PER_ORDER,
    caller_of_three_lines,
    fill_demo,
    fill_full_day,
    fill_open_orders,
)
from tests.speed.test_speed_pages import ACCEPTED

PART = {"HX-Request-Type": "partial"}
UNIT = "× a bare page"
BARE_PAGES = 20


@pytest.fixture(scope="module")
def bare():
    """bare(): the processor's time for a page that says hello, as it is just now."""
    app = Flask("hello")
    app.add_url_rule("/", "hello", lambda: "hello")
    client = app.test_client()

    def ask():
        return _seconds(lambda: [client.get("/") for _ in range(BARE_PAGES)]) / BARE_PAGES

    ask()
    return ask


def _seconds(call):
    began = time.process_time()
    call()
    return time.process_time() - began


class Browser:
    """A browser that looks at the board of tomorrow."""

    def __init__(self, file):
        self.app = create_app(Config(f"sqlite:///{file}", OWN_HOSTS))
        self.board, self._client, self._numbers = f"/bench?day={_day()}", self.app.test_client(), itertools.count()
        self._token = re.search(r'name="csrf_token" value="([^"]+)"', self.get("/counter/"))[1]

    def ask(self, path, expected=200):
        answer = self._client.get(path)
        assert answer.status_code == expected
        return answer

    def get(self, path):
        return self.ask(path).text

    def version(self):
        return re.search(r'data-version="([^"]+)"', self.get(self.board))[1]

    def keys(self):
        return sorted(re.findall(r'id="batch-([^"]+)"', self.get(self.board)))

    def send(self, path, expected, **changes):
        """Sends a caller's request of three lines."""
        body = caller_of_three_lines(self._token, f"speedorder{next(self._numbers):06}", **changes)
        form = "application/x-www-form-urlencoded"
        answer = self._client.post(path, data=body, content_type=form, headers=PART if expected == 200 else None)
        assert answer.status_code == expected, answer.text[:500]
        return answer.text

    def tap(self, key, act, expected=303, asked="", headers=None):
        sent = {"csrf_token": self._token, "client_key": f"speedtap{next(self._numbers):08}", "act": act}
        sent |= {"count": "1", "sure": "yes"}
        answer = self._client.post(f"/bench/batches/{key}/taps{asked}", data=sent, headers=headers)
        assert answer.status_code == expected, answer.text[:500]
        return answer.text


def _day():
    return f"{tomorrow_noon():%Y-%m-%d}"


@pytest.fixture(scope="module")
def full(shop_file, tmp_path_factory):
    return Browser(filled(shop_file, tmp_path_factory.mktemp("full"), fill_full_day))


@pytest.fixture(scope="module")
def demo(shop_file, tmp_path_factory):
    return Browser(filled(shop_file, tmp_path_factory.mktemp("demo"), fill_demo))


@pytest.fixture(scope="module")
def busy(shop_file, tmp_path_factory):
    """The demo with 70 open orders besides, stock and gas counted."""
    return Browser(filled(shop_file, tmp_path_factory.mktemp("busy"), fill_open_orders))


@pytest.fixture
def cost(note, bare):
    """cost(name, call, times, aim, before) notes the median of so many calls, each after something uncounted. Bare
    pages are asked in between, because the processor is not equally quick all the time."""

    def noted(name, call, times, aim=None, before=lambda: None):
        plain, found = [], []
        for turn in range(times):
            if turn % max(1, times // BARE_PAGES) == 0:
                plain.append(bare())
            before()
            found.append(_seconds(call))
        note(name, statistics.median(found) / statistics.median(plain), UNIT, aim)

    return noted


def test_a_poll(cost, full):
    version = full.version()
    cost("poll, nothing new", lambda: full.ask(f"{full.board}&v={version}", 204), 400, aim=2)


def test_a_board_asked_again(cost, full):
    assert len(full.keys()) == BATCHES
    cost(f"board of {BATCHES} batches, asked again", lambda: full.ask(full.board), 60, aim=12)


def test_a_board_drawn_anew(cost, full):
    def ask():
        full.app.forget()
        full.ask(full.board)

    cost(f"board of {BATCHES} batches, all drawn anew", ask, 7, aim=40)


def test_the_pickups_asked_again(cost, full):
    path = f"/pickups/?day={_day()}"
    assert full.get(path).count('id="order-') == BATCHES // PER_ORDER
    cost(f"pick-ups of {BATCHES // PER_ORDER} orders, asked again", lambda: full.ask(path), 60, aim=20)


def test_the_pickups_of_the_demo(cost, demo):
    demo.get("/pickups/")
    cost("pick-ups of the demo, asked again", lambda: demo.ask("/pickups/"), 60, aim=20)


@pytest.mark.parametrize("act", ["start", "fill", "finish"])
def test_a_tap(cost, full, act):
    keys = iter(full.keys())
    cost(f"a tap saved: {act}", lambda: full.tap(next(keys), act), 60, aim=12)


def test_a_tap_that_is_answered_with_the_board(cost, full):
    """As a tablet does it: it says which board it shows, and is sent the rows that changed."""
    shown, keys = full.version(), iter(reversed(full.keys()))

    def tap():
        nonlocal shown
        board = full.tap(next(keys), "fill", 200, f"?back=board&day={_day()}", {**PART, "X-Board-Shown": shown})
        shown = re.search(r'data-version="([^"]+)"', board)[1]

    cost(f"a tap answered with the board of {BATCHES}", tap, 30)


def test_the_order_form(cost, demo):
    assert 'id="order-form"' in demo.get("/counter/")
    cost("the demo's order form, asked again", lambda: demo.ask("/counter/"), 60, aim=14)


def _forget(busy):
    busy.app.kept = KeptFindings()


def _quote(busy, **changes):
    busy.send("/counter/draft", 200, **changes)


NUMBERS = itertools.count()
QUOTES = {
    "another name": (lambda busy: _quote(busy, customer=f"Odile {next(NUMBERS)}"), lambda busy: None),
    "another end": (lambda busy: _quote(busy, **{"lasts_until-hour": f"20:{next(NUMBERS):02}"}), lambda busy: None),
    "nothing known": (_quote, _forget),
}
"""What is typed, after what."""
ORDERS = {"with nothing known": _forget, "after its quote": _quote}


@pytest.mark.parametrize("typed", QUOTES)
def test_a_quote(cost, busy, typed):
    ask, before = QUOTES[typed]
    name = f"quote of three lines beside 70 open orders, {typed}"
    cost(name, lambda: ask(busy), 20, 15, lambda: before(busy))


@pytest.mark.parametrize("when", ORDERS)
def test_an_order(cost, busy, when):
    def save():
        busy.send("/counter/orders", 303, **ACCEPTED)

    cost(f"an order saved beside 70 open orders, {when}", save, 15, 40, lambda: ORDERS[when](busy))
