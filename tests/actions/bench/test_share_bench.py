"""The latest starts of a quote on a bench that is shared with other orders, and what becomes of it then."""

from datetime import timedelta

import pytest

from app.actions.bench.fit import load_bench, share_bench
from app.actions.bench.plan import calculate_plan, read_bench
from app.actions.records.shop import load_shop
from app.quoting.quote import make_quote
from app.quoting.request import HandOver
from tests.actions.builders import BENCH_REASON, MORNING, at, ctx, line, order_request, take

AFTERNOON = {"ready_by": at(14), "event_start": at(15), "lasts_until": at(17)}
VENUE = {
    "hand_over": HandOver.VENUE,
    "ready_by": at(11, 30),
    "arrives_at": at(12),
    "travel_minutes": 30,
    "set_up_minutes": 10,
    "crew": 1,
    "address": "The Corn Hall, 1 High Street",
}


@pytest.fixture
def shared(session, catalogue):
    """The quote for a request on the bench as it is."""

    def share(wanted):
        session.flush()
        shop = load_shop(session)
        quote = make_quote(wanted, shop, catalogue, MORNING)
        return share_bench(quote, load_bench(ctx(session, shop=shop), quote), shop.certainty)

    return share


def _windows(quote):
    return [batch.window for batch in quote.batches]


def test_alone_on_the_bench_a_batch_starts_as_late_as_by_itself(shared, catalogue):
    (window,) = _windows(shared(order_request(catalogue, line(catalogue), **AFTERNOON)))
    assert window.inflate_by == window.own_inflate_by


def test_two_batches_of_one_person_start_one_after_the_other(shared, catalogue):
    """Both need helium, and there is one point for it."""
    quote = shared(
        order_request(catalogue, line(catalogue), line(catalogue, "18 in foil", quantity=6), **AFTERNOON)
    )
    first, last = sorted(quote.batches, key=lambda batch: batch.window.inflate_by)
    assert last.window.inflate_by == last.window.own_inflate_by
    assert first.window.inflate_by == last.window.inflate_by - first.fill.work
    assert quote.first_fill_by == first.window.inflate_by


def test_another_order_makes_it_start_earlier_and_the_chance_is_that_of_its_start(session, shared, catalogue):
    wanted = order_request(catalogue, line(catalogue), **AFTERNOON)
    (alone,) = _windows(shared(wanted))
    take(session, order_request(catalogue, line(catalogue, quantity=60), **AFTERNOON), key="other")
    quote = shared(wanted)
    (batch,) = quote.batches
    assert batch.window.inflate_by < alone.inflate_by == batch.window.own_inflate_by
    assert batch.window.chance == batch.float_plan.chance(batch.window.inflate_by) < alone.chance


def test_it_is_no_earlier_than_the_plan_of_the_whole_bench(session, shared, catalogue):
    for place, hour in enumerate((13, 14, 15)):
        other = order_request(catalogue, line(catalogue, quantity=40), **(AFTERNOON | {"ready_by": at(hour)}))
        take(session, other, key=f"other-{place}")
    wanted = order_request(catalogue, line(catalogue), line(catalogue, "18 in foil", quantity=6), **AFTERNOON)
    told = _windows(shared(wanted))
    order = take(session, wanted, key="mine")
    plan = calculate_plan(read_bench(ctx(session)), MORNING)
    planned = [plan.starts[batch.key] for batch in order.batches]
    a_minute = timedelta(minutes=1)  # told to the minute
    assert sum((window.inflate_by - at(8) for window in told), timedelta()) >= sum(
        (start - at(8) - a_minute for start in planned), timedelta()
    )


def test_a_saved_order_has_the_verdict_of_the_shared_start_and_its_own_latest_one(session, shared, catalogue):
    take(session, order_request(catalogue, line(catalogue, quantity=60), **AFTERNOON), key="other")
    wanted = order_request(catalogue, line(catalogue), **AFTERNOON)
    (window,) = _windows(shared(wanted))
    (batch,) = take(session, wanted, key="mine").batches
    assert (batch.chance, batch.verdict, batch.inflate_by) == (window.chance, window.verdict, window.own_inflate_by)


def test_when_not_all_fit_each_batch_keeps_its_own_latest_start(session, shared, catalogue):
    for place in range(20):
        busy = order_request(catalogue, line(catalogue, quantity=60), bench_override=BENCH_REASON, **AFTERNOON)
        take(session, busy, key=f"other-{place}")
    (window,) = _windows(shared(order_request(catalogue, line(catalogue), **AFTERNOON)))
    assert window.inflate_by == window.own_inflate_by


def test_what_a_crew_fills_does_not_share_the_bench(session, shared, catalogue):
    take(session, order_request(catalogue, line(catalogue, quantity=60), **AFTERNOON), key="other")
    (window,) = _windows(shared(order_request(catalogue, line(catalogue), **(AFTERNOON | VENUE))))
    assert window.inflate_by == window.own_inflate_by
