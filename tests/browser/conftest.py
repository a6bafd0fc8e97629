"""Chromium, and a served shop that is open round the clock, so that the tests pass at any hour of the day."""

import os
import shutil
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import count
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import expect, sync_playwright
from sqlalchemy import delete, select

from app.actions.bench.taps import Press, tap_batch
from app.actions.orders.quick_sale import make_quick_sale
from app.actions.orders.take import take_order
from app.actions.records.catalogue import load_catalogue
from app.actions.records.history import touch_board
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings, change_week
from app.actions.stock.articles import Article
from app.actions.stock.lots import Arrival, receive
from app.quoting.request import LineRequest, Occasion, OrderRequest
from app.quoting.states import TapAction
from app.store.engine import Database
from app.store.models import Order, OrderBatch
from app.store.types import Base
from tests.actions.builders import ctx, new_design
from tests.browser.chromium import ARGUMENTS, NAMED_HOST, PROGRAMS, find_chromium
from tests.serving import running

expect.set_options(timeout=15_000)  # a busy machine is slow, not wrong
ROUND_THE_CLOCK = (0, 23 * 60 + 59)


def _zone_of_a_morning():
    """Three hours or more from UTC, where it is now between 10:00 and 16:59, so that an order of some hours from
    now is one of today."""
    hours = (10 - datetime.now(UTC).hour + 11) % 24 - 11
    return f"Etc/GMT{-(hours if abs(hours) >= 3 else 4):+d}"


ZONE = _zone_of_a_morning()
"""Without clock changes: no hour typed in a test is ever skipped or shown twice."""

TABLES_NOT_EMPTIED = {
    "alembic_version",
    "counter",
    "balloon_type",
    "opening_weekday",
    "opening_exception",
    "setting",
    "supply",
    "weekday_shift",
}
"""Tables of a shop before its first order; no test's rows stay in the others."""


@pytest.fixture(scope="session")
def chromium():
    program = find_chromium()
    if program is None:
        reason = f"No Chromium here: none of {', '.join(PROGRAMS)} is installed"
        pytest.fail(reason) if os.environ.get("CI") else pytest.skip(reason)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=[*ARGUMENTS])
        yield browser
        browser.close()


@dataclass
class Served:
    """A shop as the browsers reach it, and a way past them to its store."""

    port: int
    database: Database
    keys: count = field(default_factory=count)

    def address(self, host="127.0.0.1"):
        return f"http://{host}:{self.port}"

    def put_order(self, **changes):
        """An order in the store as if taken at another counter; three hours from now unless told otherwise."""
        with self.database.writing() as session:
            shop, catalogue = load_shop(session), load_catalogue(session)
            request = OrderRequest(**(_request(catalogue) | changes))
            return take_order(
                ctx(session, who="Noor", shop=shop, catalogue=catalogue, now=_this_minute()),
                request,
                f"test-{next(self.keys)}",
            ).number

    def put_sale(self):
        """Three balloons sold over another counter this minute."""
        with self.database.writing() as session:
            shop, catalogue = load_shop(session), load_catalogue(session)
            line = LineRequest(_request(catalogue)["lines"][0].balloon_type_id, None, 3)
            return make_quick_sale(
                ctx(session, who="Noor", shop=shop, catalogue=catalogue, now=_this_minute()),
                line,
                f"test-{next(self.keys)}",
            ).number

    def put_lot(self, count, colour="", name="11 in latex"):
        """So many lie on the shelf from now on."""
        with self.database.writing() as session:
            catalogue = load_catalogue(session)
            balloon_type_id = next(
                balloon_type.id for balloon_type in catalogue.balloon_types.values() if balloon_type.name == name
            )
            today = datetime.now(ZoneInfo(ZONE)).date()
            arrival = Arrival(Article(balloon_type_id=balloon_type_id), colour, count, today)
            receive(
                ctx(session, who="Noor", catalogue=catalogue, now=_this_minute()),
                arrival,
                f"test-{next(self.keys)}",
            )

    def put_design(self, name="Sea bouquet", **changes):
        """A bouquet that is sold from now on; its id."""
        with self.database.writing() as session:
            return new_design(session, load_catalogue(session), name=name, **changes).id

    def tap(self, number, act):
        """All batches of an order, as if tapped at another tablet: started, or filled."""
        with self.database.writing() as session:
            for key in session.scalars(select(OrderBatch.key).join(Order).where(Order.number == number)).all():
                tap_batch(ctx(session, who="Noor", now=_this_minute()), key, Press(act, f"test-{next(self.keys)}"))

    def put_started_order(self):
        number = self.put_order()
        self.tap(number, TapAction.START)
        return number


def _this_minute():
    return datetime.now(UTC).replace(second=0, microsecond=0)


def _request(catalogue):
    latex = next(
        balloon_type.id for balloon_type in catalogue.balloon_types.values() if balloon_type.name == "11 in latex"
    )
    now = _this_minute()
    return {
        "customer": "Odd Larsen",
        "phone": "01632 960001",
        "occasion": Occasion.EVENT,
        "lines": (LineRequest(latex, None, 5, "3 red, 2 white"),),
        "ready_by": now + timedelta(hours=2),
        "event_start": now + timedelta(hours=3),
        "lasts_until": now + timedelta(hours=6),
        "bench_override": "They come by turns.",
    }


@pytest.fixture(scope="session")
def shop_server(shop_file, tmp_path_factory):
    """One shop, served for all tests of this process: a server takes longer to start than a test to run."""
    folder = tmp_path_factory.mktemp("served")
    file = folder / "served.sqlite"
    shutil.copy(shop_file, file)
    database = Database(f"sqlite:///{file}")
    with database.writing() as session:
        change_settings(session, {"zone": ZONE})
        change_week(session, dict.fromkeys(range(7), ROUND_THE_CLOCK))
    settings = {"DATABASE_URL": str(database.engine.url), "STILLALOFT_HOSTS": NAMED_HOST}
    with running(("-m", "app", "serve"), folder / "server.log", **settings) as port:
        yield Served(port, database)
    database.engine.dispose()


@pytest.fixture
def served(shop_server):
    """The served shop without an order or a name in it."""
    with shop_server.database.writing() as session:
        for table in reversed(Base.metadata.sorted_tables):
            if table.name not in TABLES_NOT_EMPTIED:
                session.execute(delete(table))
        touch_board(session)
    return shop_server


@dataclass
class Watch:
    """What went wrong in the browser while nobody looked: errors, refusals of the content policy, lost requests."""

    served: Served
    failures: list = field(default_factory=list)
    expected: tuple = ()
    """Parts of what this test provokes itself."""

    def over(self, page):
        for event, hear in self._listeners():
            page.on(event, hear)

    def off(self, page):
        for event, hear in self._listeners():
            page.remove_listener(event, hear)

    def _listeners(self):
        return ("console", self._save_console_message), ("pageerror", self._break), ("request", self._stay_here)

    def _break(self, error):
        self.failures.append(f"error in a script: {error}")

    def _save_console_message(self, message):
        if message.type in ("error", "warning") and not any(part in message.text for part in self.expected):
            self.failures.append(
                f"{message.type} in the console: {message.text} ({message.location.get('url', '')})"
            )

    def _stay_here(self, request):
        parts = urlsplit(request.url)
        if parts.scheme not in ("data", "blob") and parts.port != self.served.port:
            self.failures.append(f"a request leaves the shop: {request.url}")


@pytest.fixture
def watch(served):
    watch = Watch(served)
    yield watch
    assert watch.failures == []


BLANK_ADDRESS = "/static/icon.svg"
"""A picture at the shop's address, where no script runs."""


class Windows:
    """Browser windows, lent again once nothing is left of their last test: to open one takes as long as to load
    several pages."""

    def __init__(self, chromium):
        self._chromium = chromium
        self._free = defaultdict(list)

    def open(self, **options):
        """A window of its own, with one page."""
        context = self._chromium.new_context(locale="en-GB", **options)
        context.new_page()
        return context

    def lend(self, **options):
        """One that was opened like that; give it back under the same options."""
        free = self._free[tuple(options.items())]
        return free.pop() if free else self.open(**options)

    def take_back(self, context, **options):
        page, *others = context.pages
        for other in others:
            other.close()
        page.unroute_all(behavior="ignoreErrors")
        context.set_offline(False)
        page.emulate_media(media="null")
        page.mouse.move(0, 0)
        page.goto(BLANK_ADDRESS, wait_until="commit")
        if options.get("java_script_enabled", True):
            page.evaluate("localStorage.clear(); sessionStorage.clear()")
        context.clear_cookies()
        self._free[tuple(options.items())].append(context)


@pytest.fixture(scope="session")
def windows(chromium):
    return Windows(chromium)


@pytest.fixture
def tablet(windows, served, watch):
    """Opens a browser of its own on the shop: tablet(host=…, width=…, …) gives a page. Nobody else ever gets one
    that is opened alone: for a test that does to it what cannot be undone, as to its clock."""
    lent, own = [], []

    def open_one(host="127.0.0.1", width=1280, height=800, alone=False, **options):
        options["base_url"] = served.address(host)
        context = windows.open(**options) if alone else windows.lend(**options)
        own.append(context) if alone else lent.append((context, options))
        page = context.pages[0]
        page.set_viewport_size({"width": width, "height": height})
        page.set_default_timeout(10_000)
        watch.over(page)
        return page

    yield open_one
    for context in own:
        context.close()
    for context, options in lent:
        for page in context.pages:
            watch.off(page)
        windows.take_back(context, **options)


@pytest.fixture
def page(tablet):
    return tablet()
