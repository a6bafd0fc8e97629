"""What the review adds up in the database, against the same sums written apart, row by row, over made-up orders."""

import random
import shutil
from collections import Counter, defaultdict
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import event, text

from app.quoting.states import LateReason
from app.store.queries import review_bench, review_sales
from tests.conftest import DEMO_NOON, open_unsafely
from tests.many_orders import copy_into_the_past

START, END = datetime(2026, 9, 1, tzinfo=UTC), datetime(2026, 11, 20, tzinfo=UTC)
LONDON = ZoneInfo("Europe/London")
"""Its clocks were put back on 25 October 2026."""
ALL = START, END
REASONS = (None, *LateReason)


def _seconds(moment):
    return int(moment.timestamp())


ORDER = """
    UPDATE orders SET handed_over_at = :gone, taken_at = :taken, ready_by = :ready, total_minor = :total,
    cost_minor = :cost, late_reason = :reason, customer_id = :customer, event_start = :ready + 7200,
    later_at = NULL, occasion = :occasion WHERE id = :id
"""
READY = "UPDATE tap SET at = :at WHERE order_id = :id AND act = 'ready'"
BATCH = """
    UPDATE batch SET started_at = :at, filled_at = :at + :took, filled = :filled WHERE order_id = :id
"""
CANCELLED = """
    UPDATE orders SET state = 'cancelled', cancelled_at = handed_over_at, cancel_fee_minor = total_minor / 2
    WHERE id % 11 = 3
"""
NOT_MADE = """
    UPDATE orders SET state = 'open', not_made_at = ready_by + 90000, handed_over_at = NULL
    WHERE id % 13 = 4 AND state = 'handed over'
"""


def _made_up(session):
    """Changes the copied orders at random: what they cost, when they were taken and ready, and what became of
    them."""
    chance = random.Random(18)
    customers = [row.id for row in session.execute(text("SELECT id FROM customer ORDER BY id LIMIT 40"))]
    ids = [row.id for row in session.execute(text("SELECT id FROM orders WHERE handed_over_at IS NOT NULL"))]
    for order_id in ids:
        gone = _seconds(START) - 86400 + chance.randrange(86400 * 84)
        is_quick = chance.random() < 0.1
        changed = {
            "id": order_id,
            "gone": gone,
            "taken": gone if is_quick else gone - chance.randrange(1, 86400 * 9),
            "occasion": "now" if is_quick else "event",
            "ready": gone + chance.randrange(-7200, 72000),
            "total": chance.randrange(20000),
            "cost": chance.choice([None, chance.randrange(1, 9000)]),
            "reason": chance.choice(REASONS),
            "customer": chance.choice([None, *customers]),
        }
        session.execute(text(ORDER), changed)
        session.execute(text(READY), {"at": gone - chance.randrange(7200), "id": order_id})
        took, filled = chance.choice([0, 600, 2000, 50000]), chance.randrange(40)
        session.execute(text(BATCH), {"at": gone - 9000, "took": took, "filled": filled, "id": order_id})
    session.execute(text(CANCELLED))
    session.execute(text(NOT_MADE))


@pytest.fixture(scope="module")
def lived(demo_file, tmp_path_factory):
    database = open_unsafely(shutil.copy(demo_file, tmp_path_factory.mktemp("review") / "year.sqlite"))
    with database.writing() as session:
        copy_into_the_past(session, 300)
        _made_up(session)
    yield database
    database.engine.dispose()


@pytest.fixture
def rows(lived):
    """rows(sql): what a plain statement finds."""
    with lived.reading() as session:
        yield lambda statement: [row._asdict() for row in session.execute(text(statement))]


@pytest.fixture
def session(lived):
    with lived.reading() as session:
        yield session


@pytest.fixture
def gone(rows):
    """What was handed over between START and END, with its lateness."""
    taps = rows("SELECT order_id, at FROM tap WHERE act = 'ready' AND undone_at IS NULL ORDER BY at")
    ready = {row["order_id"]: row["at"] for row in taps}
    found = [
        row
        for row in rows("SELECT * FROM orders")
        if row["state"] != "cancelled"
        and row["handed_over_at"] is not None
        and _seconds(START) <= row["handed_over_at"] < _seconds(END)
    ]
    for row in found:
        row["quick"] = row["occasion"] == "now" and row["handed_over_at"] == row["taken_at"]
        due = row["event_start"] if row["hand_over"] == "venue" else row["later_at"] or row["ready_by"]
        row["late"] = not row["quick"] and ready.get(row["id"], row["handed_over_at"]) > due
    assert len(found) > 150
    return found


def _balloons(rows, order_ids):
    return sum(row["filled"] for row in rows("SELECT order_id, filled FROM batch") if row["order_id"] in order_ids)


def test_what_was_sold_is_the_sum_of_each_step(session, rows, gone):
    bounds = [START + timedelta(days=7 * week) for week in range(11)] + [END]
    of_step = defaultdict(list)
    for row in gone:
        of_step[sum(_seconds(bound) <= row["handed_over_at"] for bound in bounds) - 1].append(row)
    found = {row.span: row for row in review_sales.sold(session, bounds)}
    assert found.keys() == of_step.keys()
    assert len(found) > 8
    for span, orders in of_step.items():
        row, plain = found[span], [one for one in orders if not one["quick"]]
        assert (row.orders, row.quick_sales) == (len(plain), len(orders) - len(plain))
        assert row.order_revenue_minor == sum(one["total_minor"] for one in plain)
        assert row.order_revenue_minor + row.quick_revenue_minor == sum(one["total_minor"] for one in orders)
        assert row.balloons == _balloons(rows, {one["id"] for one in orders})


def test_the_figures_of_a_period_are_those_of_its_orders(session, rows, gone):
    found, plain = review_sales.figures_of(session, *ALL), [row for row in gone if not row["quick"]]
    ids, every = {row["id"] for row in plain}, rows("SELECT * FROM orders")
    treated = {row["order_id"] for row in rows("SELECT order_id FROM batch WHERE treated = 1 AND quantity > 0")}
    extras = {row["order_id"] for row in rows("SELECT order_id FROM order_extra")}
    again = [
        row
        for row in plain
        if any(
            one["customer_id"] == row["customer_id"]
            and one["taken_at"] < row["taken_at"]
            and one["state"] != "cancelled"
            for one in every
            if row["customer_id"] is not None
        )
    ]
    assert found.orders == len(plain)
    assert found.revenue_minor == sum(row["total_minor"] for row in gone)
    assert found.squares == pytest.approx(sum(row["total_minor"] ** 2 for row in gone))
    assert found.late == sum(row["late"] for row in gone) > 0
    assert (found.treated, found.with_extras) == (len(ids & treated), len(ids & extras))
    assert found.delivered == sum(row["hand_over"] != "collect" for row in plain)
    assert 0 < found.again == len(again) < found.orders
    known = [row for row in gone if row["cost_minor"]]
    assert found.cost_minor == sum(row["cost_minor"] for row in known)
    assert found.costed_net_minor == sum(row["total_minor"] - row["tax_minor"] for row in known)


def test_what_designs_earn_is_all_that_the_orders_earned(session, rows, gone):
    found, lines = review_sales.earned(session, *ALL), rows("SELECT * FROM order_line")
    known = {row["id"]: row for row in gone if row["cost_minor"]}
    net, cost = Counter(), Counter()
    for order_id, order in known.items():
        of_order = [one for one in lines if one["order_id"] == order_id]
        whole = sum(one["quantity"] * one["unit_minor"] for one in of_order)
        for one in of_order:
            share = one["quantity"] * one["unit_minor"] / whole if whole else 1 / len(of_order)
            what = one["design_id"], one["balloon_type_id"]
            net[what] += share * (order["total_minor"] - order["tax_minor"])
            cost[what] += share * order["cost_minor"]
    assert len(found) == len(net) > 2
    assert sorted(row.net_minor for row in found) == pytest.approx(sorted(net.values()), abs=1)
    assert sorted(row.cost_minor for row in found) == pytest.approx(sorted(cost.values()), abs=1)
    assert sum(row.cost_minor for row in found) == pytest.approx(
        sum(order["cost_minor"] for order in known.values()), abs=len(found)
    )


def test_who_comes_back_is_every_order_once(session, gone):
    found = review_sales.returning(session, *ALL)
    plain = [row for row in gone if not row["quick"]]
    assert {row.sort for row in found} == {0, 1, 2}
    assert sum(row.orders for row in found) == len(plain)
    assert sum(row.revenue_minor for row in found) == sum(row["total_minor"] for row in plain)
    (nameless,) = (row for row in found if row.sort == 0)
    assert nameless.orders == sum(row["customer_id"] is None for row in plain)


def test_what_burst_is_counted_with_all_that_was_filled(session, rows):
    within = [
        row for row in rows("SELECT * FROM batch") if _seconds(START) <= (row["filled_at"] or 0) < _seconds(END)
    ]
    ids = {row["id"] for row in within}
    taps = [row for row in rows("SELECT * FROM tap WHERE undone_at IS NULL AND act IN ('burst', 'lose')")]
    found = review_bench.burst_by_type(session, *ALL)
    assert sum(row.filled for row in found) == sum(row["filled"] for row in within)
    assert sum(row.burst for row in found) == sum(row["count"] for row in taps if row["batch_id"] in ids) > 0
    moves = [row for row in rows("SELECT * FROM stock_move") if row["batch_id"] in ids]
    for source in (review_bench.burst_by_colour, review_bench.burst_by_lot):
        lots = source(session, *ALL)
        for sort, name in (("filled", "filled"), ("burst", "burst")):
            moved = -sum(row["change"] for row in moves if row["sort"] == sort)
            assert sum(getattr(row, name) for row in lots) == moved > 0
    assert len(review_bench.burst_by_lot(session, *ALL)) == len({row["lot_id"] for row in moves})


def test_late_and_missed_orders_are_counted_by_reason(session, rows, gone):
    found = review_bench.late_or_missed(session, *ALL, DEMO_NOON, DEMO_NOON)
    late = Counter(row["late_reason"] for row in gone if row["late"])
    missed = Counter()
    for row in rows("SELECT * FROM orders WHERE state = 'open' AND not_made_at IS NOT NULL"):
        due = row["event_start"] if row["hand_over"] == "venue" else row["later_at"] or row["ready_by"]
        missed[row["late_reason"]] += _seconds(START) <= due < _seconds(END)
    assert {row.reason: row.late for row in found if row.late} == late
    assert {row.reason: row.missed for row in found if row.missed} == +missed
    assert sum(missed.values()) == review_bench.missed_count(session, *ALL, DEMO_NOON, DEMO_NOON) > 5


def test_hours_are_those_of_the_shops_clock_on_both_sides_of_its_turn(session, rows):
    found = review_bench.orders_taken(session, *ALL, LONDON)
    taken = Counter()
    for row in rows("SELECT * FROM orders"):
        quick = row["occasion"] == "now" and row["handed_over_at"] == row["taken_at"]
        if _seconds(START) <= row["taken_at"] < _seconds(END) and not quick:
            local = datetime.fromtimestamp(row["taken_at"], UTC).astimezone(LONDON)
            taken[local.weekday(), local.hour] += 1
    assert {(row.weekday, row.hour): row.count for row in found} == taken
    assert sum(taken.values()) > 150


def test_bench_minutes_are_from_the_first_to_the_last_tap(session, rows):
    minutes = Counter()
    planned = 0
    for row in rows("SELECT * FROM batch WHERE started_at IS NOT NULL AND filled_at IS NOT NULL"):
        took = row["filled_at"] - row["started_at"]
        if _seconds(START) <= row["filled_at"] < _seconds(END) and 1 <= took <= 12 * 3600:
            local = datetime.fromtimestamp(row["started_at"], UTC).astimezone(LONDON)
            minutes[local.weekday(), local.hour] += took
            planned += row["work_minutes"]
    found = review_bench.bench_minutes(session, *ALL, LONDON)
    assert {(row.weekday, row.hour): row.count for row in found} == {at: took // 60 for at, took in minutes.items()}
    (row,) = review_bench.bench_hours(session, [START, END])
    assert (row.planned, row.taken) == (planned, sum(minutes.values()) // 60)


def test_what_is_lost_and_unpaid_is_listed(session, rows):
    lost = review_sales.lost(session, *ALL)
    cancelled = rows("SELECT * FROM orders WHERE state = 'cancelled'")
    within = [row for row in cancelled if _seconds(START) <= (row["cancelled_at"] or 0) < _seconds(END)]
    plain = [row for row in within if not (row["occasion"] == "now" and row["handed_over_at"] == row["taken_at"])]
    assert len(lost) == len(plain) > 5
    assert sum(row.price_minor for row in lost) == sum(row["total_minor"] for row in plain)
    unpaid = review_sales.unpaid(session, END)
    assert all(row.due_minor > 0 for row in unpaid)
    assert [row.ready_by for row in unpaid] == sorted(row.ready_by for row in unpaid)


QUESTIONS = {
    "sold": lambda session: review_sales.sold(session, [START, END]),
    "figures": lambda session: review_sales.figures_of(session, *ALL),
    "earned": lambda session: review_sales.earned(session, *ALL),
    "returning": lambda session: review_sales.returning(session, *ALL),
    "unpaid": lambda session: review_sales.unpaid(session, END),
    "lost": lambda session: review_sales.lost(session, *ALL),
    "types": lambda session: review_bench.burst_by_type(session, *ALL),
    "colours": lambda session: review_bench.burst_by_colour(session, *ALL),
    "lots": lambda session: review_bench.burst_by_lot(session, *ALL),
    "taken": lambda session: review_bench.orders_taken(session, *ALL, LONDON),
    "minutes": lambda session: review_bench.bench_minutes(session, *ALL, LONDON),
    "hours": lambda session: review_bench.bench_hours(session, [START, END]),
    "late": lambda session: review_bench.late_or_missed(session, *ALL, DEMO_NOON, DEMO_NOON),
}


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_question_reads_no_growing_table_from_end_to_end(lived, question):
    from tests.store.test_query_plans import _full_reads  # noqa: PLC0415  it is a module of tests

    asked = []
    listen = ("before_cursor_execute", lambda *call: asked.append(call[2:4]))
    event.listen(lived.engine, *listen)
    with lived.reading() as session:
        QUESTIONS[question](session)
    event.remove(lived.engine, *listen)
    selects = [one for one in asked if one[0].startswith(("SELECT", "WITH"))]
    assert 1 <= len(selects) <= 2
    with lived.engine.connect() as connection:
        assert [line for one in selects for line in _full_reads(connection, *one)] == []
