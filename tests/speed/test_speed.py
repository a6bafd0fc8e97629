"""How long the shop's pages take, as multiples of an empty page served in the same run.

Skipped unless asked for: pytest tests/speed --benchmark-only -n0. Pages are asked for over one open connection
from a server in a process of its own, with waitress on both sides of the comparison, so a ratio holds from one
machine to the next where milliseconds do not. Nothing is asserted about time: a busy machine would fail for no
reason. Each call checks that it was answered as expected, so that no error page is ever timed.
"""

import http.client
import json
import re
import shutil
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from urllib.parse import urlencode

import pytest
from sqlalchemy import insert

from app.actions.orders.take import take_order
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_week
from app.physics.air import Air
from app.physics.balloon import BalloonType, Gas
from app.physics.endurance import Filling, FloatDefaults, endurance, filling_loss_rate
from app.physics.material import Material
from app.physics.promise import promise_of
from app.planning.window import Certainty, FloatPlan, Leg
from app.quoting.request import LineRequest, Occasion, OrderRequest
from app.store.engine import Database
from app.store.models import Customer, CustomerPhone
from app.store.search_keys import digits_of
from tests.actions.builders import ctx
from tests.serving import running

BATCHES = 200
PER_ORDER = 2
CROWD = 50_000
HELLO = """
import sys
from flask import Flask
from waitress import create_server
from tests.actions.builders import ctx

app = Flask(__name__)
app.add_url_rule("/", "hello", lambda: "hello")
server = create_server(app, host="127.0.0.1", port=int(sys.argv[-1]), threads=8)
print("Stillaloft is running.", flush=True)
server.run()
"""


class Line:
    """One connection that stays open."""

    def __init__(self, port):
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        self.cookie = ""

    def ask(self, path, expected=200, body=None, **headers):
        if self.cookie:
            headers["Cookie"] = self.cookie
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        self.connection.request("POST" if body is not None else "GET", path, body=body, headers=headers)
        answer = self.connection.getresponse()
        text = answer.read().decode()
        assert answer.status == expected, text[:500]
        if given := answer.getheader("Set-Cookie"):
            self.cookie = given.partition(";")[0]
        return text


@contextmanager
def _line(port):
    line = Line(port)
    try:
        yield line
    finally:
        line.connection.close()


def _tomorrow_noon():
    return (datetime.now(UTC) + timedelta(days=1)).replace(hour=12, minute=0, second=0, microsecond=0)


def _take_orders(session):
    """A full day tomorrow: each order with two kinds, so two batches."""
    change_week(session, dict.fromkeys(range(7), (0, 23 * 60 + 59)))
    shop, catalogue = load_shop(session), load_catalogue(session)
    balloon_types = [
        balloon_type.id
        for balloon_type in catalogue.balloon_types.values()
        if balloon_type.name in ("11 in latex", "18 in foil")
    ]
    now = datetime.now(UTC).replace(microsecond=0)
    for place in range(BATCHES // PER_ORDER):
        ready = _tomorrow_noon() + timedelta(minutes=2 * place)
        request = OrderRequest(
            customer=f"Customer {place}",
            phone="01632 960001",
            occasion=Occasion.EVENT,
            lines=tuple(LineRequest(balloon_type, None, 10, "5 red, 5 white") for balloon_type in balloon_types),
            ready_by=ready,
            event_start=ready + timedelta(hours=1),
            lasts_until=ready + timedelta(hours=5),
            bench_override="As many as there are.",
        )
        take_order(ctx(session, who="Noor", shop=shop, catalogue=catalogue, now=now), request, f"speed-{place}")


@pytest.fixture(scope="module")
def shop_line(shop_file, tmp_path_factory):
    folder = tmp_path_factory.mktemp("speed")
    shutil.copy(shop_file, folder / "shop.sqlite")
    url = f"sqlite:///{folder / 'shop.sqlite'}"
    database = Database(url)
    with database.writing() as session:
        _take_orders(session)
    database.engine.dispose()
    with running(["-m", "app", "serve"], folder / "log", DATABASE_URL=url) as port, _line(port) as line:
        yield line


@pytest.fixture(scope="module")
def crowd_line(shop_file, tmp_path_factory):
    """A shop that knows 50,000 customers."""
    folder = tmp_path_factory.mktemp("crowd")
    shutil.copy(shop_file, folder / "shop.sqlite")
    url = f"sqlite:///{folder / 'shop.sqlite'}"
    database = Database(url)
    with database.writing() as session:
        people = [(place, f"01632 {960000 + place % 40000}") for place in range(1, CROWD + 1)]
        rows = [
            {"id": place, "name": f"Customer {place}", "name_folded": f"customer {place}", "merged_into_id": None}
            | {"phone_digits": digits_of(phone), "last_order_at": _tomorrow_noon() - timedelta(hours=place)}
            for place, phone in people
        ]
        session.execute(insert(Customer), rows)
        phones = [{"customer_id": place, "shown": phone} for place, phone in people]
        session.execute(insert(CustomerPhone), phones)
    database.engine.dispose()
    with running(["-m", "app", "serve"], folder / "log", DATABASE_URL=url) as port, _line(port) as line:
        yield line


@pytest.fixture(scope="module")
def hello_line(tmp_path_factory):
    folder = tmp_path_factory.mktemp("hello")
    (folder / "hello.py").write_text(HELLO)
    with running(["hello.py"], folder / "log") as port, _line(port) as line:
        yield line


def _day():
    return f"{_tomorrow_noon():%Y-%m-%d}"


def _draft(line):
    """A caller's request of three lines, as the counter's form sends it."""
    token = re.search(r'name="csrf_token" value="([^"]+)"', line.ask("/counter/"))[1]
    ready = _tomorrow_noon()
    fields = {
        "csrf_token": token,
        "fix": "work",
        "occasion": "event",
        "surroundings": "indoors",
        "hand_over": "collect",
        "event_start-day": f"{ready:%Y-%m-%d}",
        "event_start-hour": "15:00",
        "lasts_until-hour": "20:00",
        "hand_over_time-hour": "13:00",
    }
    for place, (what, quantity) in enumerate(
        (("balloon_type:4", 24), ("balloon_type:6", 4), ("balloon_type:12", 2))
    ):
        fields |= {
            f"lines-{place}-what": what,
            f"lines-{place}-quantity": quantity,
            f"lines-{place}-colours": "red",
        }
    return urlencode(fields)


def test_an_empty_page(measure, hello_line):
    measure("hello", lambda: hello_line.ask("/"))


def test_a_bench_of_two_hundred_batches(measure, shop_line):
    path = f"/bench?day={_day()}"
    assert shop_line.ask(path).count('class="batch state-') == BATCHES
    measure(f"bench, {BATCHES} batches", lambda: shop_line.ask(path))


def test_a_poll_that_finds_nothing_new(measure, shop_line):
    version = json.loads(shop_line.ask(f"/bench.json?day={_day()}"))["version"]
    measure("poll, nothing new", lambda: shop_line.ask(f"/bench?v={version}", expected=204))


def test_a_quote_of_three_lines(measure, shop_line):
    body = _draft(shop_line)
    headers = {"HX-Request-Type": "partial"}
    assert "answer-verdict" in shop_line.ask("/counter/draft", body=body, **headers)
    measure("counter, three lines worked out", lambda: shop_line.ask("/counter/draft", body=body, **headers))


@pytest.mark.parametrize(
    ("asked", "found"),
    [("phone=016", 8), ("phone=960101", 2), ("phone=777777", 0), ("customer=cust", 8), ("customer=mer+4999", 8)],
)
def test_a_caller_among_fifty_thousand(measure, crowd_line, asked, found):
    path = f"/counter/callers?{asked}"
    assert crowd_line.ask(path).count('class="caller"') == found
    measure(f"callers, {asked}, {found} shown of {CROWD}", lambda: crowd_line.ask(path))


def test_the_pickups_of_a_hundred_orders(measure, shop_line):
    path = f"/pickups/?day={_day()}"
    assert shop_line.ask(path).count('id="order-') == BATCHES // PER_ORDER
    measure(f"pick-ups, {BATCHES // PER_ORDER} orders", lambda: shop_line.ask(path))


def test_a_float_window(measure):
    """Without a page: the endurance and window of two dozen over shop, van and a warm garden."""
    balloon_type, float_defaults, noon = (
        BalloonType("11 in latex", Material.LATEX, 11.0, 3.0),
        FloatDefaults(),
        _tomorrow_noon(),
    )
    filling = Filling(balloon_type, Gas.HELIUM, 13.0, Air(20.0))
    places = ((noon, 20.0), (noon + timedelta(hours=1), 25.0), (noon + timedelta(hours=8), 28.0))

    def window():
        legs = tuple(
            Leg(ends, filling_loss_rate(filling, Air(warm), float_defaults), 1 / 24) for ends, warm in places
        )
        owned = endurance(filling, float_defaults, promise_of(24))
        return FloatPlan(owned, legs).window(noon, Certainty())

    assert window().not_before is not None
    measure("float window, no page", window)
