"""No page reads more because the shop has lived longer: asked beside 1,000 orders and beside ten times as many, it
takes the same steps in the database, and no plan of a statement says that a table is read from end to end."""

import re
import shutil

import pytest
from sqlalchemy import event, select

from app.actions.records.shop import ShopCache
from app.store.models import Cylinder, Order
from tests.amounts import amount
from tests.conftest import DEMO_NOON, StillClock, open_unsafely
from tests.many_orders import GROWING, copy_into_the_past

FEW, MANY = 1_000, amount(10_000, deep=100_000)
STEPS_AT_ONCE = 50
"""SQLite calls back each time it has taken so many steps of its virtual machine in one statement."""
PLACES = {
    "/bench": "?day=2026-11-21 ?day=2026-11-20 ?day=2026-11-28 .json /batches/{key} /gas /staff"
    " /staff?day=2026-11-28 /fetch-list /fetch-list?day=2026-11-22 /calculator",
    "/pickups": "/ /?day=2026-11-20 /?day=2026-11-28 /{number}/tag /orders/{number}/back",
    "/counter/orders": "?state=in-progress ?state=handed-over ?state=cancelled ?unpaid=y ?unpaid=y&not_ready=y"
    " ?q={number} ?design=bouquet ?from=2026-11-20&to=2026-11-21 /{number} /{number}/confirmation /{open}/change",
    "/counter/": "orders customers/1 quick-sale weeks goods?line=0&lines-0-find=11 callers?phone=0163",
    "/office/": "start settings settings?q=vat settings/shop settings/history backups hours hours/closed bench"
    " timing work-times rentals orders/{number}",
    "/office/balloon-types": "/4 /4/weigh?ten=31 /new /colours /prices",
    "/office/supplies": "/1 /new /prices",
    "/office/stock": "/balloon-type/4 /supply/1 /buying",
    "/office/designs": "/1 /new",
    "/office/gas": "/{cylinder} /new",
    "/help": "/bench /curve",
    "/": "counter/ office/ office/balloon-types office/supplies office/stock office/designs office/gas health"
    " staff/ help days/read hours/read openapi.json",
}
EXEMPT = {
    *("office.review", "office.review_csv", "office.review_orders", "office.question_csv", "counter.orders_csv"),
    *("office.work_times_csv", "office.stock_csv", "office.balloon_type_prices_csv", "office.supply_prices_csv"),
    *("office.buying_csv", "office.gas_csv", "office.rentals_csv", "health.show_json", "static"),
    *("photos.pixels", "office.design_of_photo", "front", "icon", "bench.more", "office.long_work"),
}
"""What has dates of its own, is a table for other programs, is one row by its key, or asks nothing."""
OF_OPEN_ROWS = {
    "ix_lot_balloon_type_id_there",
    "ix_lot_supply_id_there",
}
"""Indexes that have only rows of open things, so that they may be read from end to end."""
WALKED = {"ix_orders_ready_by", "ix_orders_taken_at"}
"""Indexes that are walked until a page is full."""


@pytest.fixture(scope="module")
def shops(demo_file, tmp_path_factory):
    """The demo with a few orders before it, and with many: opened once for all tests."""
    opened = {}
    for count in (FEW, MANY):
        file = shutil.copy(demo_file, tmp_path_factory.mktemp("lived") / f"{count}.sqlite")
        opened[count] = open_unsafely(file)
        with opened[count].writing() as session:
            copy_into_the_past(session, count)
    yield opened
    for database in opened.values():
        database.engine.dispose()


class Asked:
    """Pages of one shop, with the statements behind each, and the steps that SQLite took for it."""

    def __init__(self, app, database):
        app.database, app.shop_cache = database, ShopCache()
        self._client, self._steps, self._statements = app.test_client(), 0, []
        database.engine.dispose()  # so that each connection counts
        event.listen(database.engine, "connect", self._count)
        event.listen(database.engine, "before_cursor_execute", self._note)
        with database.reading() as session:
            app.shop_cache.load(session)

    def _count(self, connection, _record):
        connection.set_progress_handler(self._tick, STEPS_AT_ONCE)

    def _tick(self):
        self._steps += STEPS_AT_ONCE

    def _note(self, _connection, _cursor, statement, parameters, *_rest):
        if statement.lstrip().startswith(("SELECT", "WITH")):
            self._statements.append((statement, parameters))

    def page(self, address):
        """The steps that a page takes, and its statements."""
        self._steps, self._statements = 0, []
        answer = self._client.get(address)
        assert answer.status_code in (200, 302, 303), address
        answer.get_data()
        return self._steps, self._statements


@pytest.fixture(scope="module")
def addresses(shops):
    """The address of each page, of an order that was handed over and of one that is open."""
    with shops[FEW].reading() as session:
        gone = session.scalars(select(Order).where(Order.handed_over_at.is_not(None)).order_by(Order.id)).first()
        still_open = session.scalar(select(Order.number).where(Order.handed_over_at.is_(None)).limit(1))
        names = {
            "number": gone.number,
            "key": gone.batches[0].key,
            "open": still_open,
            "cylinder": session.scalar(select(Cylinder.id).limit(1)),
        }
    return [f"{place}{rest}".format(**names) for place, rests in PLACES.items() for rest in rests.split()]


@pytest.fixture(scope="module")
def pages(shared_app, shops, addresses):
    """Steps and statements of each page, at the moment of the demo, by the number of orders and the address."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("app.web.clock.now", StillClock(DEMO_NOON))
        asked = {}
        for count, database in shops.items():
            shop = Asked(shared_app, database)
            asked[count] = {address: shop.page(address) for address in addresses}
        return asked


def _tables(statement):
    """The tables of a statement by their aliases."""
    named = re.findall(r'(?:FROM|JOIN|,)\s+"?(\w+)"?(?:\s+AS\s+"?(\w+)"?)?', statement)
    return {alias or table: table for table, alias in named}


def _full_reads(connection, statement, parameters):
    """Yields each line of the plan by which a table that grows is read from end to end."""
    tables = _tables(statement)
    for *_, line in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters):
        alias, _, way = line.removeprefix("SCAN ").partition(" ")
        index = way.rpartition(" ")[2]
        is_walk = index in WALKED and "LIMIT" in statement
        if line.startswith("SCAN ") and tables.get(alias) in GROWING and index not in OF_OPEN_ROWS and not is_walk:
            yield line


def test_no_page_takes_more_steps_beside_ten_times_as_many_orders(pages):
    few, many = ({address: steps for address, (steps, _) in pages[count].items()} for count in (FEW, MANY))
    assert sum(few.values()) > 50_000
    # A page asks some statements of a few steps each, which are counted only when so many have come together.
    most = {address: 1.1 * steps + 3 * STEPS_AT_ONCE for address, steps in few.items()}
    assert {address: (few[address], steps) for address, steps in many.items() if steps > most[address]} == {}


def test_no_page_reads_a_table_that_grows_from_end_to_end(pages, shops):
    with shops[MANY].engine.connect() as connection:
        found = [
            f"{address}: {line}"
            for address, (_, statements) in pages[MANY].items()
            for one in statements
            for line in _full_reads(connection, *one)
        ]
    assert not found, "\n".join(found)


def test_a_plan_that_reads_all_would_be_seen(shops):
    with shops[FEW].engine.connect() as connection:
        lines = [*_full_reads(connection, "SELECT o.id FROM orders AS o WHERE o.notes = ?", ("none",))]
        assert [line.startswith("SCAN o") for line in lines] == [True]
        assert not [*_full_reads(connection, "SELECT o.id FROM orders AS o WHERE o.id = ?", (1,))]


def test_no_page_is_left_out(shared_app, addresses):
    found = shared_app.url_map.bind("shop.test")
    seen = {found.match(address.partition("?")[0])[0] for address in addresses}
    gets = {rule.endpoint for rule in shared_app.url_map.iter_rules() if "GET" in rule.methods}
    assert gets - seen == EXEMPT
