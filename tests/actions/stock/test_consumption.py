"""What leaves the shelves when it is filled, bursts or is handed over, and comes back with an undo."""

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from app.actions.bench.taps import undo_tap
from app.actions.orders.cancel import cancel_order, reopen_order
from app.actions.orders.hand_over import steps_of, take_step, undo_step
from app.actions.orders.quick_sale import make_quick_sale, undo_quick_sale
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.records.taps import active_taps
from app.actions.stock.articles import Article
from app.actions.stock.lots import set_aside
from app.quoting.errors import Refused
from app.quoting.request import ExtraRequest, ExtraSort, Service
from app.quoting.states import FilledFate, TapAction
from app.store.models import Tap
from tests.actions.builders import (
    ANYWAY,
    BENCH_REASON,
    CALLED_OFF,
    EIGHT,
    MORNING,
    at,
    change,
    change_type,
    ctx,
    design_line,
    line,
    order_request,
    take,
    tap,
)
from tests.actions.stock_helpers import balanced, free, lot, moves, on_hand
from tests.actions.supply_helpers import bouquet_on, stand, supply


@pytest.fixture
def batch(session, catalogue):
    """Two dozen: a dozen red and a dozen white, forty of each there."""
    lot(session, 40)
    lot(session, 40, "white")
    return take(session, order_request(catalogue, line(catalogue, colours="red, white"))).batches[0]


def test_a_promise_leaves_the_shelf_as_it_is_and_less_free(session, batch):
    assert on_hand(session) == {"red": 40, "white": 40}
    assert (free(session, "red"), free(session, "white")) == (28, 28)


def test_what_is_filled_in_part_is_still_promised_and_gone_when_all_are(session, batch):
    tap(session, batch, "fill", count=10)
    assert on_hand(session) == {"red": 40, "white": 40}
    tap(session, batch, "finish")
    assert on_hand(session) == {"red": 28, "white": 28}
    assert free(session) == 28


def test_an_undo_brings_them_back(session, batch):
    tap(session, batch, "finish")
    (finish,) = active_taps(session, batch.order_id, batch.id)
    undo_tap(ctx(session, who="Isolde", now=EIGHT), batch.key, finish.id)
    assert on_hand(session) == {"red": 40, "white": 40}
    assert moves(session)[2:] == [("filled", -12), ("filled", -12), ("filled", 12), ("filled", 12)]


def test_a_burst_is_gone_at_once_and_its_undo_brings_it_back(session, batch):
    tap(session, batch, "burst", colour="white")
    assert on_hand(session) == {"red": 40, "white": 39}
    assert free(session, "white") == 27
    (burst,) = active_taps(session, batch.order_id, batch.id)
    undo_tap(ctx(session, who="Isolde", now=EIGHT), batch.key, burst.id)
    assert on_hand(session, "white") == 40


def test_a_repeated_tap_takes_nothing_twice(session, batch):
    for _ in range(2):
        tap(session, batch, "finish", key="once")
    assert on_hand(session, "red") == 28


def test_the_oldest_lot_gives_first(session, catalogue):
    old, young = lot(session, 10, days_ago=90), lot(session, 40, days_ago=3)
    tap(session, take(session, order_request(catalogue)).batches[0], "finish")
    assert (old.on_hand, young.on_hand) == (0, 26)


def test_an_old_lot_gives_only_what_the_others_do_not_have_and_gets_it_back(session, catalogue):
    old, young = lot(session, 10, days_ago=400), lot(session, 20, days_ago=3)
    assert (on_hand(session, "red"), free(session)) == (30, 20)
    batch = take(session, order_request(catalogue, stock_override="Practice balloons will do.")).batches[0]
    tap(session, batch, "finish")
    assert (old.on_hand, young.on_hand) == (6, 0)
    (finish,) = active_taps(session, batch.order_id, batch.id)
    undo_tap(ctx(session, now=at(10)), batch.key, finish.id)
    assert (old.on_hand, young.on_hand) == (10, 20)


def test_a_burst_that_is_undone_goes_back_to_the_old_lot_that_gave_last(session, catalogue):
    old, young = lot(session, 10, days_ago=400), lot(session, 1, days_ago=3)
    batch = take(session, order_request(catalogue, stock_override="Yes.")).batches[0]
    for minute in (0, 1):
        tap(session, batch, "burst", colour="red", now=at(9, minute))
    assert (old.on_hand, young.on_hand) == (9, 0)
    (*_, last) = active_taps(session, batch.order_id, batch.id)
    undo_tap(ctx(session, now=at(10)), batch.key, last.id)
    assert (old.on_hand, young.on_hand) == (10, 0)


def test_what_no_lot_has_is_owed_by_the_last_that_is_not_old(session, catalogue):
    old, young = lot(session, 10, days_ago=400), lot(session, 2, days_ago=3)
    tap(session, take(session, order_request(catalogue, stock_override="Yes.")).batches[0], "finish")
    assert (old.on_hand, young.on_hand) == (0, -12)


def test_foil_is_never_old(session, catalogue):
    lot(session, 10, "silver", name="18 in foil", days_ago=400)
    assert free(session, "silver", name="18 in foil") == 10


def test_what_is_gone_from_a_lot_stays_gone_from_it_when_an_older_one_turns_up(session, catalogue):
    young = lot(session, 40, days_ago=3)
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "finish")
    old = lot(session, 40, days_ago=90)
    change(session, order, order_request(catalogue, notes="side door"))
    assert (old.on_hand, young.on_hand) == (40, 16)


def test_when_more_are_needed_all_are_promised_again_until_they_are_filled(session, catalogue):
    lot(session, 40)
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "finish")
    change(session, order, order_request(catalogue, line(catalogue, quantity=30)))
    assert (on_hand(session, "red"), free(session)) == (40, 10)
    tap(session, order.batches[0], "finish", now=at(9))
    assert (on_hand(session, "red"), free(session)) == (10, 10)


def test_what_is_put_away_gives_nothing(session, catalogue):
    worn = lot(session, 40, days_ago=400)
    lot(session, 30)
    set_aside(ctx(session, now=MORNING), worn.id, "sticky")
    tap(session, take(session, order_request(catalogue)).batches[0], "finish")
    assert (worn.on_hand, on_hand(session, "red")) == (40, 6)


def test_more_than_was_counted_shows_as_less_than_nothing(session, catalogue):
    few = lot(session, 20)
    tap(session, take(session, order_request(catalogue, stock_override="More in the drawer.")).batches[0], "finish")
    assert few.on_hand == -4


def test_a_colour_that_the_shelf_never_had_takes_nothing(session, catalogue):
    lot(session, 40, "white")
    tap(
        session,
        take(session, order_request(catalogue, stock_override="Bought at the market.")).batches[0],
        "finish",
    )
    assert on_hand(session) == {"white": 40}


def test_where_packs_name_no_colour_any_balloon_comes_from_them(session, catalogue):
    lot(session, 40, "")
    tap(session, take(session, order_request(catalogue)).batches[0], "finish")
    assert on_hand(session) == {"": 16}


def test_any_colour_is_taken_from_what_names_none_then_from_what_is_there_most(session, catalogue):
    for count, colour in ((5, ""), (10, "red"), (50, "white")):
        lot(session, count, colour)
    tap(session, take(session, order_request(catalogue, line(catalogue, colours=""))).batches[0], "finish")
    assert on_hand(session) == {"": 0, "red": 10, "white": 31}


def test_a_cancelled_order_promises_nothing_and_what_was_filled_stays_gone(session, catalogue):
    lot(session, 60)
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "finish")
    cancel_order(ctx(session, who="Maren", now=EIGHT), order.number, order.version, CALLED_OFF)
    assert on_hand(session, "red") == free(session) == 36


def test_fewer_wanted_after_all_were_filled_leaves_them_gone(session, catalogue):
    lot(session, 60)
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "finish")
    fewer = order_request(catalogue, line(catalogue, quantity=18))
    change(session, order, fewer, fate=FilledFate.SPARES)
    assert on_hand(session, "red") == 36


def test_a_sale_takes_them_and_taking_it_back_brings_them_back(session, catalogue):
    lot(session, 60)
    shop = load_shop(session)
    order = make_quick_sale(
        ctx(session, who="Maren", shop=shop, catalogue=catalogue, now=MORNING),
        line(catalogue, quantity=5),
        "sale",
    )
    assert on_hand(session, "red") == 55
    undo_quick_sale(ctx(session, who="Maren", now=MORNING), order.number)
    assert on_hand(session, "red") == 60


def test_the_customers_own_foil_is_not_the_shops(session, catalogue):
    lot(session, 10, "", "18 in foil")
    change_type(session, "18 in foil", fill_minor=250)
    own = line(catalogue, "18 in foil", quantity=2, colours="", service=Service.OWN)
    make_quick_sale(
        ctx(session, who="Maren", shop=load_shop(session), catalogue=load_catalogue(session), now=MORNING),
        own,
        "sale",
    )
    assert on_hand(session) == {"": 10}


def _hand_over(session, order):
    for batch in order.batches:
        tap(session, batch, "finish")
    for step in steps_of(treated=False):
        take_step(ctx(session, who="Maren", now=at(13)), order.number, step, f"{order.number} {step}", sure=ANYWAY)


def test_supplies_leave_with_the_hand_over_and_come_back_with_its_undo(session, catalogue):
    bear = supply(session)
    lot(session, 10, "", article=Article(supply_id=bear.id))
    more = ExtraRequest(ExtraSort.SUPPLY, 1, bear.id)
    design = bouquet_on(session, bear, 2)
    order = take(
        session,
        order_request(load_catalogue(session), design_line(design), extras=(more,), bench_override=BENCH_REASON),
    )
    assert on_hand(session) == {"": 10}
    _hand_over(session, order)
    assert on_hand(session) == {"": 7}
    last = session.query(Tap).filter_by(order_id=order.id, act="handed over").one()
    undo_step(ctx(session, who="Maren", now=at(14)), order.number, last.id)
    assert on_hand(session) == {"": 10}


def test_hired_goods_are_counted_elsewhere(session, catalogue):
    arch = stand(session)
    order = take(
        session, order_request(catalogue, extras=(ExtraRequest(ExtraSort.RENTAL, 1, arch.id),), return_by=at(20))
    )
    _hand_over(session, order)
    assert moves(session) == []


def test_what_was_filled_before_anybody_counted_is_not_taken_later(session, catalogue, order):
    tap(session, order.batches[0], "finish")
    one = lot(session, 40)
    change(session, order, order_request(catalogue, phone="01632 960555"))
    assert one.on_hand == 40
    (finish,) = active_taps(session, order.id, order.batches[0].id)
    undo_tap(ctx(session, who="Maren", now=EIGHT), order.batches[0].key, finish.id)
    assert one.on_hand == 40


def test_what_came_from_a_pack_without_a_colour_stays_gone_from_it_when_colours_are_told_apart(session, catalogue):
    plain = lot(session, 40, "")
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "finish")
    red = lot(session, 40)
    change(session, order, order_request(catalogue, notes="side door"))
    assert (plain.on_hand, red.on_hand) == (16, 40)


def test_filled_balloons_go_back_to_no_shelf_when_the_caller_changes_the_colour(session, catalogue):
    lot(session, 40)
    lot(session, 40, "blue")
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "finish")
    change(session, order, order_request(catalogue, line(catalogue, colours="blue")))
    assert on_hand(session) == {"red": 16, "blue": 40}


def test_what_was_filled_for_an_order_that_is_cancelled_half_done_is_gone_until_it_is_opened_again(
    session, catalogue
):
    lot(session, 60)
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "fill", count=20)
    cancel_order(ctx(session, who="Maren", now=EIGHT), order.number, order.version, CALLED_OFF)
    assert (on_hand(session, "red"), free(session)) == (40, 40)
    reopen_order(
        ctx(session, who="Maren", shop=load_shop(session), catalogue=load_catalogue(session), now=EIGHT),
        order.number,
    )
    assert (on_hand(session, "red"), free(session)) == (60, 36)


def test_a_supply_in_metres_ends_at_nothing(session, catalogue):
    ribbon = supply(session, "Ribbon 5 mm", unit="metre")
    one = lot(session, 0.3, "", article=Article(supply_id=ribbon.id))
    design = bouquet_on(session, ribbon, 0.1)
    for number in range(3):
        lines = (design_line(design),)
        order = take(
            session,
            order_request(load_catalogue(session), *lines, bench_override=BENCH_REASON),
            key=f"key-{number}",
        )
        _hand_over(session, order)
    assert one.on_hand == 0


presses = st.lists(
    st.one_of(
        st.tuples(st.just("fill"), st.integers(1, 9)),
        st.tuples(st.just("burst"), st.sampled_from(("red", "white"))),
        st.tuples(st.just("finish"), st.just(0)),
        st.tuples(st.just("undo"), st.integers(0, 5)),
        st.tuples(st.just("change"), st.integers(6, 30)),
    ),
    max_size=10,
)


@settings(
    phases=(Phase.explicit, Phase.generate),  # each example is a shop's day: shrinking one takes minutes
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(presses)
def test_whatever_is_tapped_the_lots_hold_what_their_moves_say_and_what_is_gone_was_used(database, acts):
    """Played through beside a plain count of what the taps say."""
    with database.writing() as session:
        catalogue = load_catalogue(session)
        for colour in ("red", "white"):
            lot(session, 500, colour)
        order = take(session, order_request(catalogue, line(catalogue, colours="red, white")), key=f"order-{acts}")
        for place, (act, what) in enumerate(acts):
            _press(session, catalogue, order, act, what, place)
        (batch,) = order.batches
        assert balanced(session)
        gone = 1000 - sum(on_hand(session).values())
        filled = batch.filled if batch.filled_at else 0
        assert gone == filled + sum(count for _, count in batch.bursts)
        session.rollback()


def _press(session, catalogue, order, act, what, place):
    (batch,) = order.batches
    if act == "undo":
        commitments = active_taps(session, order.id, batch.id)
        if commitments:
            undone = commitments[what % len(commitments)]
            try:
                undo_tap(ctx(session, who="Maren", now=EIGHT), batch.key, undone.id)
            except Refused:  # another was filled in the place of the one that burst
                assert undone.act == TapAction.LOSE
    elif act == "change":
        change(
            session,
            order,
            order_request(
                catalogue, line(catalogue, quantity=what, colours="red, white"), bench_override=BENCH_REASON
            ),
            fate=FilledFate.SPARES,
        )
    elif act == "fill":
        if batch.quantity > batch.filled:
            tap(session, batch, act, count=min(what, batch.quantity - batch.filled), key=f"{place}")
    else:
        tap(session, batch, act, key=f"{place}", **({"colour": what} if act == "burst" else {}))
