"""A batch that was started: all that shows it has the chance and the verdict of its real start."""

from datetime import timedelta

import pytest
from sqlalchemy import select

from app.actions.bench.taps import undo_tap
from app.actions.orders.hand_over import steps_of, take_step
from app.actions.records.batches import promised_start, read_float_plan
from app.actions.records.history import history_of
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings, replan_open_orders
from app.store.models import Tap
from app.store.queries.bench import batches_of_day
from app.store.queries.counter import find_order
from app.store.queries.customers import past_orders
from app.store.queries.order_batches import one_batch
from app.store.queries.order_list import OrderSearch, search_orders
from app.store.queries.pickups import pickups_of_day
from app.store.queries.review import completed
from tests.actions.builders import ANYWAY, MORNING, at, ctx, line, order_request, take, tap
from tests.numbers_in import numbers_in

MIDNIGHT = at(0, days=1)


@pytest.fixture
def order(session, catalogue):
    """Two dozen 11-inch to be up until midnight, safe if filled from 14:35 to 14:45."""
    order = take(
        session,
        order_request(catalogue, ready_by=at(15, 15), event_start=at(18), lasts_until=MIDNIGHT),
    )
    (batch,) = order.batches
    assert (batch.not_before, batch.inflate_by, batch.verdict) == (at(14, 35), at(14, 45), "safe")
    return order


def _percent(chance):
    """As the worked cases have it: rounded down."""
    return int(chance * 100)


def _start(session, order, now):
    tap(session, order.batches[0], "start", now=now, sure=True)
    session.flush()


def _undo(session, order, now):
    undo_tap(ctx(session, now=now), order.batches[0].key, session.scalars(select(Tap.id)).one())
    session.flush()


def _shown_verdicts(session, order):
    """The verdict of the order wherever a page reads one."""
    number, day = order.number, (at(0), MIDNIGHT)
    rows = (
        find_order(session, number),
        *search_orders(session, OrderSearch(start=MORNING, open_only=True), 9),
        *search_orders(session, OrderSearch(text=str(number)), 9),
        *past_orders(session, order.customer_id),
        *pickups_of_day(session, *day, is_today=True),
    )
    board = (*batches_of_day(session, *day, is_today=True), one_batch(session, order.batches[0].key))
    shown = [row.verdict for row in rows] + [row.order_verdict for row in board]
    assert len(shown) == 7
    return set(shown)


def _shown_chances(session, order):
    """The chance in whole percent, and the verdict, of its batch wherever a page reads them."""
    (saved,) = find_order(session, order.number).batches
    board = (*batches_of_day(session, at(0), MIDNIGHT, is_today=True), one_batch(session, saved.key))
    assert len(board) == 2
    return {(_percent(row.chance), row.verdict) for row in (saved, *board)}


@pytest.mark.parametrize(
    ("start", "percent", "verdict"),
    [(at(9), 40, "wont-last"), (at(14, 30), 94, "risky"), (at(14, 35), 95, "safe")],
)
def test_a_real_start_is_what_every_page_shows(session, order, start, percent, verdict):
    """Worked cases 7 and 2, computed independently: 22 of 24 until 15 h and 9.5 h after the start, and the earliest
    start that is safe."""
    planned = order.batches[0].chance
    _start(session, order, start)
    assert _shown_chances(session, order) == {(percent, verdict)}
    assert _shown_verdicts(session, order) == {verdict}
    _undo(session, order, start)
    assert order.batches[0].chance == planned
    assert _shown_chances(session, order) == {(_percent(planned), "safe")}
    assert _shown_verdicts(session, order) == {"safe"}


def test_the_review_has_the_verdict_of_the_real_start(session, order):
    tap(session, order.batches[0], "finish", now=at(9), sure=True)
    for step in steps_of(treated=False):
        take_step(ctx(session, now=at(15, 15)), order.number, step, f"step {step}", sure=ANYWAY)
    session.flush()
    assert [(row.number, row.verdict) for row in completed(session, at(0), MIDNIGHT)] == [
        (order.number, "wont-last")
    ]


def test_calculated_again_it_keeps_the_chance_of_its_real_start(session, order):
    _start(session, order, at(9))
    assert replan_open_orders(ctx(session, now=at(9, 5))) == []
    assert _shown_chances(session, order) == {(40, "wont-last")}
    assert [entry.act for entry in history_of(session, order)] == ["saved", "started too early"]


def test_a_start_too_early_is_in_the_history_with_the_planned_and_the_real_chance(session, order):
    planned = _percent(order.batches[0].chance)
    _start(session, order, at(9))
    entry = history_of(session, order)[-1]
    assert entry.act == "started too early"
    ((what, was, became),) = entry.changes
    assert order.batches[0].key in what
    assert (numbers_in(was), numbers_in(became)) == ([planned], [40])


def test_an_order_has_the_verdict_of_its_worst_batch_whichever_was_started(session, catalogue):
    lines = line(catalogue), line(catalogue, "16 in latex")
    wanted = order_request(catalogue, *lines, ready_by=at(15, 45), event_start=at(18), lasts_until=MIDNIGHT)
    order = take(session, wanted)
    small, large = sorted(order.batches, key=lambda batch: batch.fill_size_in)
    tap(session, large, "start", now=at(9), sure=True)
    assert (large.verdict, small.verdict, order.verdict) == ("safe", "safe", "safe")
    tap(session, small, "start", now=at(9, 5), sure=True)
    assert (large.verdict, small.verdict, order.verdict) == ("safe", "wont-last", "wont-last")


@pytest.fixture
def behind(session, catalogue):
    """Of two alike at noon the one that was taken last: it must start before the other one."""
    wanted = order_request(
        catalogue, ready_by=at(12), event_start=at(15), lasts_until=at(20), accepted_risk="Fine."
    )
    take(session, wanted)
    order = take(session, wanted, key="key-2")
    (batch,) = order.batches
    alone = read_float_plan(batch.float_plan).chance(batch.inflate_by)
    assert batch.chance < alone - 0.001
    return order


def test_a_start_that_was_undone_gives_back_the_chance_on_the_shared_bench(session, behind):
    before = behind.batches[0].chance
    _start(session, behind, at(9))
    assert behind.batches[0].chance < before - 0.01
    _undo(session, behind, at(9))
    assert behind.batches[0].chance == before


def test_a_setting_that_moves_neither_leaves_the_chance_on_the_shared_bench(session, behind):
    before = behind.batches[0].chance, behind.verdict
    change_settings(session, {"name": "Another name"})
    assert replan_open_orders(ctx(session, now=MORNING)) == []
    assert (behind.batches[0].chance, behind.verdict) == before


def test_calculated_again_it_starts_as_long_before_its_own_latest_start_as_before(session, behind):
    (batch,) = behind.batches
    lead = batch.inflate_by - promised_start(batch)
    own = batch.inflate_by
    change_settings(session, {"finishing_minutes": load_shop(session).work_times.finishing_minutes + 5})
    replan_open_orders(ctx(session, now=MORNING))
    assert own - batch.inflate_by == timedelta(minutes=5)
    assert batch.inflate_by - promised_start(batch) == lead > timedelta()
    assert batch.chance == read_float_plan(batch.float_plan).chance(promised_start(batch))


def test_a_batch_saved_before_the_bench_was_shared_goes_back_to_its_own_latest_start(session, behind):
    (batch,) = behind.batches
    batch.float_plan = {name: value for name, value in batch.float_plan.items() if name != "starts_by"}
    _start(session, behind, at(9))
    _undo(session, behind, at(9))
    assert batch.chance == read_float_plan(batch.float_plan).chance(batch.inflate_by)
