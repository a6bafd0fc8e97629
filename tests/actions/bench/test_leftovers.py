"""Orders of earlier days that nobody finished: what became of each, and that they take nothing from today."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.actions.bench import leftovers
from app.actions.bench.plan import calculate_plan, read_bench
from app.actions.orders.cancel import cancel_order
from app.actions.orders.hand_over import take_step
from app.actions.orders.take import change_order
from app.actions.records.history import history_of
from app.actions.records.rebuild_request import rebuild_request
from app.planning.window import Verdict
from app.quoting.errors import Refused
from app.quoting.states import HandOverStep
from app.store.queries.bench import batches_of_day, batches_of_earlier_days
from app.store.queries.stock import promised_batches
from tests.actions.builders import CALLED_OFF, MORNING, at, ctx, order_request, take, tap
from tests.actions.stock_helpers import balanced, lot, on_hand

NEXT_DAY, NEXT_MORNING = at(0, days=1), at(8, days=1)
TOMORROW = {"ready_by": at(14, days=1), "event_start": at(15, days=1), "lasts_until": at(17, days=1)}


def _tomorrow(session):
    return ctx(session, now=NEXT_MORNING)


def _leftovers(session, now=NEXT_MORNING, today=NEXT_DAY):
    session.flush()
    return [row.order_number for row in batches_of_earlier_days(session, today, now)]


def _on_the_board(session, now=NEXT_MORNING, today=NEXT_DAY):
    session.flush()
    rows = batches_of_day(session, today, today + timedelta(days=1), is_today=True, now=now)
    return [row.order_number for row in rows]


def test_a_batch_of_an_event_that_is_over_is_left_over_from_the_next_day_on(session, order):
    assert _leftovers(session, at(23), at(0)) == []
    assert _on_the_board(session, at(23), at(0)) == [order.number]
    assert _leftovers(session) == [order.number]
    assert _on_the_board(session) == []


@pytest.mark.parametrize(
    ("hours", "is_left_over"),
    [
        ({"ready_by": at(14), "event_start": at(10, days=1), "lasts_until": at(12, days=1)}, False),
        ({"ready_by": at(0, 30, days=1), "event_start": at(1, days=1), "lasts_until": at(3, days=1)}, True),
        ({"ready_by": at(9, days=1), "event_start": at(10, days=1), "lasts_until": at(12, days=1)}, False),
    ],
    ids=["event still to come", "due after midnight and over", "due this morning"],
)
def test_what_still_has_a_use_stays_among_todays_batches(session, catalogue, hours, is_left_over):
    wanted = order_request(catalogue, accepted_risk="Fine.", bench_override="We stay late.", **hours)
    number = take(session, wanted).number
    assert _leftovers(session) == [number] * is_left_over
    assert _on_the_board(session) == [number] * (not is_left_over)


def test_an_order_for_a_later_day_that_was_begun_is_not_left_over(session, catalogue):
    order = take(session, order_request(catalogue, **TOMORROW))
    tap(session, order.batches[0], "start", now=at(17), sure=True)
    assert _leftovers(session) == []
    assert _on_the_board(session) == [order.number]


def test_todays_plan_is_the_same_with_and_without_leftovers(session, catalogue):
    today = take(session, order_request(catalogue, **TOMORROW), key="today")

    def plan():
        session.flush()
        return replace(calculate_plan(read_bench(_tomorrow(session)), NEXT_MORNING).plan, board_version=0)

    without = plan()
    for place in range(3):
        left = take(session, order_request(catalogue, bench_override="By turns."), key=f"left {place}")
    tap(session, left.batches[0], "start", now=at(13))
    assert plan() == without
    assert {block.key for block in without.blocks} == {today.batches[0].key, f"{today.number}"}


def test_a_leftover_that_was_made_is_filled_and_keeps_its_promised_verdict(session, order):
    lot(session, 100)
    batch, promised = order.batches[0], order.verdict
    leftovers.mark_as_made(_tomorrow(session), order.number, "key")
    leftovers.mark_as_made(_tomorrow(session), order.number, "key")
    assert (batch.filled, batch.filled_at, on_hand(session, "red")) == (24, NEXT_MORNING, 76)
    assert order.verdict == promised
    assert _leftovers(session) == [order.number]  # until midnight, for the undo
    leftovers.undo_leftover(_tomorrow(session), order.number)
    leftovers.undo_leftover(_tomorrow(session), order.number)
    assert (batch.filled, batch.filled_at, on_hand(session, "red")) == (0, None, 100)


def test_a_promised_risk_is_not_made_good_by_a_tap_after_the_event(session, catalogue):
    risky = take(session, order_request(catalogue, lasts_until=at(23, 30), accepted_risk="Fine."))
    promised = risky.verdict
    assert promised != Verdict.SAFE
    leftovers.mark_as_made(_tomorrow(session), risky.number, "key")
    assert risky.verdict == promised


def test_what_was_not_made_is_saved_and_takes_only_what_was_filled(session, order):
    lot(session, 100)
    tap(session, order.batches[0], "fill", now=at(13), count=10)
    assert on_hand(session, "red") == 100
    leftovers.mark_as_not_made(_tomorrow(session), order.number)
    leftovers.mark_as_not_made(_tomorrow(session), order.number)
    assert (order.not_made_at, order.state) == (NEXT_MORNING, "open")
    assert on_hand(session, "red") == 90
    assert balanced(session)
    assert promised_batches(session) == []
    assert _leftovers(session) == [order.number]
    assert _leftovers(session, at(8, days=2), at(0, days=2)) == []
    assert _on_the_board(session, at(8, days=2), at(0, days=2)) == []
    assert [one.act for one in history_of(session, order)] == ["saved", "not made"]


def test_that_it_was_not_made_can_be_undone_on_any_day(session, order):
    lot(session, 100)
    tap(session, order.batches[0], "fill", now=at(13), count=10)
    leftovers.mark_as_not_made(_tomorrow(session), order.number)
    later = ctx(session, now=at(8, days=5))
    leftovers.undo_leftover(later, order.number)
    assert (order.not_made_at, on_hand(session, "red")) == (None, 100)
    assert _leftovers(session, at(8, days=5), at(0, days=5)) == [order.number]
    assert [one.act for one in history_of(session, order)][-1] == "“not made” undone"


def test_nobody_works_on_what_was_not_made_until_that_is_undone(session, order):
    batch, context = order.batches[0], _tomorrow(session)
    leftovers.mark_as_not_made(context, order.number)
    with pytest.raises(Refused):
        tap(session, batch, "start", now=NEXT_MORNING, sure=True)
    with pytest.raises(Refused):
        take_step(context, order.number, HandOverStep.ASSEMBLED, "step")
    with pytest.raises(Refused):
        change_order(context, order.number, order.version, rebuild_request(order))
    cancel_order(context, order.number, order.version, CALLED_OFF)
    assert _leftovers(session) == []


@pytest.mark.parametrize("now", [MORNING, at(16)])
def test_only_what_is_left_over_is_settled_this_way(session, order, now):
    for settle in (
        lambda: leftovers.mark_as_made(ctx(session, now=now), order.number, "key"),
        lambda: leftovers.mark_as_not_made(ctx(session, now=now), order.number),
        lambda: leftovers.undo_leftover(ctx(session, now=now), order.number),
    ):
        with pytest.raises(Refused):
            settle()


def test_what_was_made_after_all_is_not_also_not_made(session, order):
    leftovers.mark_as_made(_tomorrow(session), order.number, "key")
    with pytest.raises(Refused):
        leftovers.mark_as_not_made(_tomorrow(session), order.number)
