"""The list of orders: each search finds the orders of the demo that a look at every one of them finds, a page at a
time."""

import shutil
from datetime import timedelta

import pytest
from sqlalchemy import event, select

from app.actions.orders.cancel import cancel_order
from app.actions.records.catalogue import load_catalogue
from app.quoting.states import HandOverStep, OrderPart, OrderState, Progress
from app.store.models import Order, Tap
from app.store.queries.order_list import OrderSearch, number_of_order, place_of, search_orders
from app.web.wording.order_state import state_of_order
from tests.actions.builders import CALLED_OFF, ctx, order_request, take, tap
from tests.conftest import DEMO_NOON, open_unsafely

ALL = 1000


@pytest.fixture(scope="module")
def demo(demo_file, tmp_path_factory):
    """The demo with one order cancelled, one not made, one begun and one ready."""
    file = shutil.copy(demo_file, tmp_path_factory.mktemp("list") / "demo.sqlite")
    database = open_unsafely(file)
    with database.writing() as session:
        is_open = select(Order).where(Order.state == OrderState.OPEN, Order.later_at.is_(None))
        off, missed, begun, ready = session.scalars(is_open.order_by(Order.ready_by.desc())).all()[:4]
        cancel_order(ctx(session, now=DEMO_NOON), off.number, off.version, CALLED_OFF)
        missed.not_made_at = DEMO_NOON
        tap(session, begun.batches[0], "start", now=DEMO_NOON, sure=True)
        step = {"act": HandOverStep.READY, "part": OrderPart.MAIN, "colour": "", "count": 0, "who": "Noor"}
        session.add(Tap(order_id=ready.id, client_key="ready", at=DEMO_NOON, **step))
    yield database
    database.engine.dispose()


@pytest.fixture
def reading(demo):
    with demo.reading() as session:
        yield session


def _numbers(rows):
    return [row.number for row in rows]


def _every(session):
    return search_orders(session, OrderSearch(), ALL)


def test_without_a_search_all_orders_are_listed_the_latest_first(reading):
    wanted = select(Order.number).order_by(Order.ready_by.desc(), Order.id.desc())
    assert _numbers(_every(reading)) == reading.scalars(wanted).all()
    assert len(_every(reading)) > 10


@pytest.mark.parametrize("progress", list(Progress))
def test_the_search_for_a_state_finds_whose_state_is_said_so(reading, progress):
    found = search_orders(reading, OrderSearch(progress=progress), ALL)
    assert _numbers(found) == _numbers([row for row in _every(reading) if state_of_order(row).progress is progress])
    assert found


def test_unpaid_are_those_with_something_to_pay(reading):
    found = search_orders(reading, OrderSearch(unpaid=True), ALL)
    assert _numbers(found) == _numbers([row for row in _every(reading) if row.due_minor > 0])
    assert 0 < len(found) < len(_every(reading))


def test_not_ready_are_open_orders_of_which_a_part_is_missing(reading):
    found = search_orders(reading, OrderSearch(unready=True), ALL)
    wanted = {Progress.NOT_STARTED, Progress.IN_PROGRESS}
    assert _numbers(found) == _numbers([row for row in _every(reading) if state_of_order(row).progress in wanted])
    assert found


def test_dates_are_from_the_first_moment_until_before_the_last(reading):
    rows = _every(reading)
    middle, last = rows[len(rows) // 2].ready_by, rows[0].ready_by
    found = search_orders(reading, OrderSearch(start=middle, end=last, earliest_first=True), ALL)
    assert _numbers(found) == _numbers([row for row in reversed(rows) if middle <= row.ready_by < last])
    assert found


@pytest.mark.parametrize("what", ["bouquet", "BOUQUET", "trio", "16 in", "%", "_"])
def test_goods_are_found_by_a_part_of_what_was_sold(reading, what):
    found = search_orders(reading, OrderSearch(title=what), ALL)
    assert _numbers(found) == _numbers(
        [row for row in _every(reading) if any(what.casefold() in title.casefold() for _, title in row.sold)]
    )
    assert bool(found) == (what not in "%_")


def test_a_design_is_also_found_by_the_name_that_it_has_today(reading):
    catalogue = load_catalogue(reading)
    design = next(one for one in catalogue.designs.values() if "bouquet" in one.name.casefold())
    by_title = search_orders(reading, OrderSearch(title=design.name), ALL)
    renamed = OrderSearch(title="No such name", design_ids=frozenset({design.id}))
    assert _numbers(search_orders(reading, renamed, ALL)) == _numbers(by_title)


def test_two_conditions_find_what_both_find(reading):
    both = search_orders(reading, OrderSearch(unpaid=True, unready=True), ALL)
    each = (search_orders(reading, one, ALL) for one in (OrderSearch(unpaid=True), OrderSearch(unready=True)))
    assert set(_numbers(both)) == set.intersection(*(set(_numbers(rows)) for rows in each))


@pytest.mark.parametrize("earliest_first", [True, False])
def test_pages_and_steps_have_each_order_once_and_in_order(reading, earliest_first):
    search = OrderSearch(earliest_first=earliest_first)
    every, pages, steps, after = search_orders(reading, search, ALL), [], [], None
    for skip in range(0, len(every), 4):
        pages += search_orders(reading, search, 4, skip)
        steps += search_orders(reading, search, 4, after=after)
        after = place_of(steps[-1])
    assert _numbers(pages) == _numbers(steps) == _numbers(every)


def test_the_colours_are_those_of_its_balloons(session, catalogue):
    take(session, order_request(catalogue))
    (row,) = search_orders(session, OrderSearch(), 9)
    assert (row.sold, row.colours) == (((24, "11 in latex"),), ("red",))


def test_a_row_says_how_much_is_filled(session, catalogue):
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "start")
    tap(session, order.batches[0], "fill", count=10)
    session.flush()
    (row,) = search_orders(session, OrderSearch(progress=Progress.IN_PROGRESS), 9)
    assert (row.started, row.filled, row.wanted) == (True, 10, 24)


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [("1001", 1001), (" #1001 ", 1001), ("01001", 1001), ("1002", None), ("", None), ("²", None), ("9" * 80, None)],
)
def test_a_number_is_one_that_an_order_has(session, catalogue, typed, wanted):
    take(session, order_request(catalogue))
    assert number_of_order(session, typed) == wanted


SEARCHES = (
    OrderSearch(),
    OrderSearch(earliest_first=True),
    OrderSearch(start=DEMO_NOON, open_only=True, earliest_first=True),
    OrderSearch(start=DEMO_NOON, end=DEMO_NOON + timedelta(days=1)),
    OrderSearch(text="hart"),
    OrderSearch(title="bouquet"),
    OrderSearch(unpaid=True),
)


@pytest.mark.parametrize("search", SEARCHES)
def test_a_page_is_read_from_an_index_without_sorting_all_orders(reading, search):
    """Whatever is searched for, the database walks the orders by time and stops where the page is full."""
    asked = []

    def note(_connection, _cursor, statement, parameters, *_rest):
        asked.append((statement, parameters))

    engine = reading.get_bind()
    event.listen(engine, "before_cursor_execute", note)
    search_orders(reading, search, 40)
    event.remove(engine, "before_cursor_execute", note)
    statement, parameters = next(one for one in asked if "LIMIT" in one[0])
    plan = reading.connection().exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters).all()
    words = [row[3] for row in plan]
    assert any("orders USING" in one and "ready_by" in one for one in words), words
    assert not any("TEMP B-TREE" in one and "ORDER BY" in one and "LAST TERM" not in one for one in words), words
