"""How long the shop's pages take, as multiples of an empty page served in the same run.

Skipped unless asked for: pytest tests/speed --benchmark-only -n0. Pages are asked for over one open connection
from a server in a process of its own, with waitress on both sides of the comparison, so a ratio holds from one
machine to the next where milliseconds do not. Nothing is asserted about time: a busy machine would fail for no
reason.
"""

import itertools
import json
import re
from datetime import UTC, datetime, timedelta
from urllib.parse import urlencode

import pytest

from app.physics.air import Air
from app.physics.balloon import BalloonType, Gas
from app.physics.endurance import Filling, FloatDefaults, endurance, filling_loss_rate
from app.physics.material import Material
from app.physics.promise import promise_of
from app.planning.window import Certainty, FloatPlan, Leg
from tests.speed.conftest import EMPTY_PAGE, YEARLY
from tests.speed.lines import tomorrow_noon
from tests.speed.shops import BATCHES, CROWD, PER_ORDER, caller_of_three_lines

PART = {"HX-Request-Type": "partial"}
ACCEPTED = {
    "customer": "Odile Marchbanks",
    "phone": "01632 960440",
    "accepted_risk": "They know.",
    "bench_override": "It will do.",
    "stock_override": "More is on its way.",
}


def _day():
    return f"{tomorrow_noon():%Y-%m-%d}"


def _token(line, path="/counter/"):
    return re.search(r'name="csrf_token" value="([^"]+)"', line.ask(path))[1]


def test_an_empty_page(measure, hello_line):
    measure(EMPTY_PAGE, lambda: hello_line.ask("/"))


def test_a_bench_of_two_hundred_batches(measure, shop_line):
    path = f"/bench?day={_day()}"
    assert len(re.findall(r'class="batch ', shop_line.ask(path))) == BATCHES
    measure(f"board of {BATCHES} batches, asked again", lambda: shop_line.ask(path), aim=12)


def test_a_poll_that_finds_nothing_new(measure, shop_line):
    version = json.loads(shop_line.ask(f"/bench.json?day={_day()}"))["version"]
    measure("poll, nothing new", lambda: shop_line.ask(f"/bench?v={version}", expected=204), aim=2)


def test_a_quote_of_three_lines(measure, open_line):
    body = caller_of_three_lines(_token(open_line))
    assert 'data-role="verdict"' in open_line.ask("/counter/draft", body=body, **PART)
    measure("quote of three lines, 70 open orders, stock and gas counted",
            lambda: open_line.ask("/counter/draft", body=body, **PART), aim=15)  # fmt: skip


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
    measure(f"pick-ups, {BATCHES // PER_ORDER} orders", lambda: shop_line.ask(path), aim=40)


@pytest.mark.parametrize(("path", "name"), [("/office/review", "review"), ("/office/review/orders", "their list")])
def test_the_review_of_a_year(measure, year_line, path, name):
    today = datetime.now(UTC).date()
    asked = f"{path}?from={today - timedelta(days=365)}&to={today}"
    measure(f"{name} of a year, {YEARLY:,} orders", lambda: year_line.ask(asked), aim=60)


def test_saving_an_order(measure, open_line):
    token, keys = _token(open_line), itertools.count()

    def save():
        body = caller_of_three_lines(token, f"speedorder{next(keys):06}", **ACCEPTED)
        open_line.ask("/counter/orders", 303, body=body)

    measure("an order saved", save, aim=40, rounds=20)


def test_a_tap(measure, shop_line):
    token, numbers = _token(shop_line), itertools.count()
    keys = itertools.cycle(one["key"] for one in json.loads(shop_line.ask(f"/bench.json?day={_day()}"))["batches"])

    def tap():
        body = urlencode(
            {"csrf_token": token, "client_key": f"speedtap{next(numbers):08}", "act": "start", "sure": "yes"}
        )
        shop_line.ask(f"/bench/batches/{next(keys)}/taps", 303, body=body)

    measure("a tap saved", tap, aim=12, rounds=60)


def test_a_float_window(measure):
    """Without a page: the endurance and window of two dozen over shop, van and a warm garden."""
    balloon_type, float_defaults, noon = (
        BalloonType("11 in latex", Material.LATEX, 11.0, 3.0),
        FloatDefaults(),
        tomorrow_noon(),
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
