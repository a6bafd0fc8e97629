"""The program is killed while two counters save orders and two tablets tap: nothing that was acknowledged is lost,
nothing is saved twice, and what got no answer may be sent again.

`pytest --deep tests/test_kills.py` does it fifty times.
"""

import http.client
import random
import re
import shutil
import signal
import threading
import time
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import count
from urllib.parse import urlencode

import pytest
from sqlalchemy import func, select, text

from app.store.engine import Database
from app.store.models import Order, OrderBatch, Tap
from tests.amounts import amount
from tests.commands import APP, TYPED
from tests.places.payloads import payload
from tests.serving import running

SEED = 20261130
KILLS = amount(2, deep=50)
BATCH = "1001-1"
BALLOONS_TO_TAP = 5000
TOKEN = re.compile(r'name="csrf-token" content="([^"]+)"')
MAY_BE_SAVED = (OSError, http.client.HTTPException)
"""No answer came: only the database knows."""


@dataclass
class Ledger:
    """What the shop's devices know: the keys that were acknowledged, and what got no answer."""

    saved: set[str] = field(default_factory=set)
    unanswered: dict[str, tuple] = field(default_factory=dict)


class Device:
    """A browser of the shop that sends forms and writes down how they were answered."""

    def __init__(self, ledger, port):
        self._ledger, self._port = ledger, port
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        self._connection.request("GET", "/counter/")
        answer = self._connection.getresponse()
        self._cookie = answer.getheader("Set-Cookie").partition(";")[0]
        self._token = TOKEN.search(answer.read().decode())[1]

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self._connection.close()

    def send(self, path, form):
        """Whether the server acknowledged it; refusals raise, because none is due here."""
        key = form["client_key"]
        self._ledger.unanswered[key] = (path, form)
        try:
            status, said = self._post(path, form | {"csrf_token": self._token})
        except MAY_BE_SAVED:
            return False
        assert status == 303, said
        self._ledger.saved.add(key)
        del self._ledger.unanswered[key]
        return True

    def _post(self, path, form):
        headers = {"Cookie": self._cookie, "Content-Type": "application/x-www-form-urlencoded"}
        self._connection.request("POST", path, urlencode(form), headers)
        answer = self._connection.getresponse()
        return answer.status, answer.read().decode()


def order_form(number):
    """An order of two balloons, on one of many days, so that the bench always has room."""
    day = f"{datetime.now(UTC) + timedelta(days=10 + number % 300):%Y-%m-%d}"
    days = dict.fromkeys(("event_start__day", "lasts_until__day", "hand_over_time__day"), day)
    goods = {"lines__0__quantity": "2", "lines__0__colours": "2 red", "stock_override": "More are coming."}
    return "/counter/orders", payload(client_key=f"order-{number}", **days, **goods)


def tap_form(number):
    """One more balloon filled."""
    form = {"client_key": f"tap-{number}", "act": "fill", "count": "1", "sure": "yes"}
    return f"/bench/batches/{BATCH}/taps", form


def work(ledger, port, form_of, numbers):
    with Device(ledger, port) as device:
        while device.send(*form_of(next(numbers))):
            pass


def load(ledger, port, order_numbers, tap_numbers):
    """The devices, at work until the server is gone."""
    kinds = 2 * [(order_form, order_numbers), (tap_form, tap_numbers)]
    threads = [threading.Thread(target=work, args=(ledger, port, *kind)) for kind in kinds]
    for thread in threads:
        thread.start()
    return threads


def send_again(ledger, port):
    """What a person does who saw no answer."""
    with Device(ledger, port) as device:
        for path, form in list(ledger.unanswered.values()):
            assert device.send(path, form)


def check(ledger, file):
    """Each key stands once, no other stands there, and numbers and sums agree."""
    database = Database(f"sqlite:///{file}")
    with database.reading() as session:
        orders = session.execute(select(Order.client_key, Order.number).where(Order.number > 1001)).all()
        taps = session.scalars(select(Tap.client_key).where(Tap.act == "fill")).all()
        assert sorted([key for key, _ in orders] + list(taps)) == sorted(ledger.saved)
        assert sorted(number for _, number in orders) == list(range(1002, 1002 + len(orders)))
        filled = session.scalar(select(OrderBatch.filled).where(OrderBatch.key == BATCH))
        assert filled == len(taps)
        batches = session.scalar(select(func.count()).select_from(OrderBatch))
        assert batches == 1 + len(orders)
        assert session.scalar(text("PRAGMA integrity_check")) == "ok"
    database.engine.dispose()


@pytest.fixture
def file(shop_file, tmp_path):
    return shutil.copy(shop_file, tmp_path / "stillaloft.sqlite")


def open_first_order(port):
    """The batch that the tablets tap."""
    path, form = order_form(0)
    goods = {"lines-0-quantity": str(BALLOONS_TO_TAP), "lines-0-colours": ""}
    reasons = {"bench_override": "It takes as long as it takes.", "accepted_risk": "Fine."}
    start = {"client_key": "start", "act": "start", "sure": "yes"}
    with Device(Ledger(), port) as device:
        assert device.send(path, form | goods | reasons)
        assert device.send(f"/bench/batches/{BATCH}/taps", start)


def test_nothing_acknowledged_is_lost_when_the_program_is_killed(file, tmp_path):
    served, chance, ledger = [*TYPED[APP], "serve"], random.Random(SEED), Ledger()
    order_numbers, tap_numbers, unanswered = count(1), count(1), 0
    for kill in range(KILLS):
        acknowledged = len(ledger.saved)
        with running(served, tmp_path / "log", by=signal.SIGKILL) as port:
            if kill == 0:
                open_first_order(port)
            send_again(ledger, port)
            check(ledger, file)
            threads = load(ledger, port, order_numbers, tap_numbers)
            time.sleep(chance.uniform(0.3, 0.9))
        for thread in threads:
            thread.join()
        assert len(ledger.saved) > acknowledged, "The server was killed before it saved anything."
        unanswered += len(ledger.unanswered)
    with running(served, tmp_path / "log") as port:
        send_again(ledger, port)
        check(ledger, file)
    assert unanswered > 0
    print(f"{len(ledger.saved)} writes are saved; {unanswered} of them got no answer and were sent again.")
