"""The number of SQL statements behind a page does not grow with the orders on it."""

from contextlib import contextmanager

import pytest
from sqlalchemy import event

from tests.actions.builders import BENCH_REASON, line, order_request, take
from tests.places.payloads import payload

PAGES = (
    *(
        "/bench",
        "/bench/batches/1001-1",
        "/bench.json",
        "/pickups/",
        "/counter/",
        "/counter/orders",
        "/office/review/orders",
    ),
    *("/office/balloon-types/4", "/office/supplies", "/office/work-times"),
    *("/office/stock", "/office/stock/balloon-type/4", "/office/stock/buying", "/bench/fetch-list"),
    *(
        "/counter/orders?q=hart",
        "/counter/callers?phone=0163",
        "/counter/callers?customer=wil",
        "/counter/goods?line=0&lines-0-find=11",
        "/office/designs",
        "/counter/customers/1",
        "/counter/orders?unpaid=y&not_ready=y&design=latex&from=today",
        "/counter/weeks",
    ),
)
BUDGET = 12
ANSWER_BUDGET = 16
"""An answer sells from the shelves: kinds, supplies, and designs with both."""


@pytest.fixture
def fill(database):
    """Takes orders straight, up to so many."""

    def up_to(count):
        with database.writing() as session:
            from app.actions.records.catalogue import load_catalogue  # noqa: PLC0415

            catalogue = load_catalogue(session)
            for number in range(count):
                lines = (line(catalogue), line(catalogue, "12 in latex", quantity=2, treated=True))
                take(
                    session,
                    order_request(catalogue, *lines, bench_override=BENCH_REASON, stock_override=BENCH_REASON),
                    key=f"key-{number}",
                )

    return up_to


@contextmanager
def counted(app):
    """The statements of the block; the shop and its catalogue are built before, as they are for most pages."""
    with app.database.reading() as session:
        app.shop_cache.load(session)
    statements = []

    def note(_connection, _cursor, statement, *_rest):
        if not statement.startswith("PRAGMA"):
            statements.append(statement)

    event.listen(app.database.engine, "before_cursor_execute", note)
    yield statements
    event.remove(app.database.engine, "before_cursor_execute", note)


def test_five_orders_cost_as_many_statements_as_twenty(app, client, fill):
    counts = {}
    for orders in (5, 20):
        fill(orders)
        counts[orders] = {address: _statements_of(app, client, address) for address in PAGES}
    assert counts[5] == counts[20]
    assert max(counts[20].values()) <= BUDGET


STOCK_PAGES = (
    "/office/stock",
    "/office/stock/balloon-type/4",
    "/office/stock/supply/1",
    "/office/stock/buying",
    "/bench/fetch-list",
)


def test_a_shop_that_counts_its_goods_pays_no_more_for_more_orders(app, client, fill):
    """Unlike one that counts nothing, it looks what the open orders are promised."""
    for place, address in enumerate(("balloon-type/4", "supply/1")):
        lot = {"client_key": f"lot-{place}", "count": "5", "colour": "red", "day": "2026-11-20"}
        assert client.post(f"/office/stock/{address}", data=lot).status_code == 303
    counts = {}
    for orders in (5, 20):
        fill(orders)
        counts[orders] = {address: _statements_of(app, client, address) for address in STOCK_PAGES}
    assert counts[5] == counts[20]
    assert max(counts[20].values()) <= BUDGET


def _statements_of(app, client, address):
    with counted(app) as statements:
        page = client.get(address)
    assert page.status_code == 200, address
    return len(statements)


def test_twenty_sales_cost_as_many_statements_as_five(app, client):
    counts = []
    for sales in (5, 20):
        for place in range(sales):
            client.post(
                "/counter/quick-sale", data={"client_key": f"sale-{place}", "what": "sold-4", "quantity": "2"}
            )
        with counted(app) as statements:
            page = client.get("/counter/quick-sale?what=sold-4&quantity=2")
        assert page.text.count('id="back-') == sales
        counts.append(len(statements))
    assert counts[0] == counts[1] <= BUDGET


def test_a_poll_with_nothing_new_costs_one_read(app, client, fill):
    import re  # noqa: PLC0415

    fill(5)
    version = re.search(r'data-version="([^"]+)"', client.get("/bench").text)[1]
    statements = []
    event.listen(app.database.engine, "checkout", lambda opened, *_: opened.set_trace_callback(statements.append))
    assert client.get("/bench", query_string={"v": version}).status_code == 204
    assert len(statements) == 1


def _statements_of_an_answer(app, client, lines=1):
    more = {
        f"lines-{place}-{name}": value
        for place in range(1, lines)
        for name, value in (("what", f"balloon_type:{3 + place}"), ("quantity", "2"), ("gas", "helium"))
    }
    app.forget()  # what is kept of the answer before would not be asked again
    with counted(app) as statements:
        answer = client.post("/counter/draft", data=payload(fix="live") | more)
    assert answer.status_code == 200
    assert answer.text.count('class="answer-line"') == lines
    return len(statements)


def test_the_answer_while_typing_costs_the_same_beside_five_orders_and_twenty(app, client, fill):
    counts = []
    for orders in (5, 20):
        fill(orders)
        counts.append(_statements_of_an_answer(app, client))
    assert counts[0] == counts[1] <= ANSWER_BUDGET


def test_the_answer_while_typing_costs_the_same_for_one_line_and_five(app, client, fill):
    fill(5)
    assert _statements_of_an_answer(app, client, lines=5) == _statements_of_an_answer(app, client) <= ANSWER_BUDGET
