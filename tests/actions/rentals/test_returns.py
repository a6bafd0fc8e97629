"""Rentals come back, some are lost; a take-down cuts balloons, fetches rentals, and takes a crew away."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from sqlalchemy import select

from app.actions.bench.fit import fit_with_others, load_bench
from app.actions.errors import NotFound
from app.actions.orders.cancel import cancel_order
from app.actions.orders.hand_over import undo_step
from app.actions.records.catalogue import load_catalogue
from app.actions.records.history import board_version, history_of
from app.actions.records.open_work import load_work
from app.actions.records.shop import load_roster, load_shop
from app.actions.records.taps import active_taps
from app.actions.rentals.returns import (
    NOTHING_OUT,
    ReturnedGoods,
    cut_and_bin,
    return_all,
    return_goods,
    undo_cut_and_bin,
    undo_return,
)
from app.actions.shop.office import change_settings
from app.planning.finishing import Fit
from app.planning.schedule import Absence
from app.quoting.errors import Refused
from app.quoting.quote import make_quote
from app.quoting.request import ExtraRequest, ExtraSort, HandOver
from app.store.models import Order, Payment, RentalReturn, Tap
from app.store.queries.rentals import rentals_of_order, rentals_out
from tests.actions.builders import CALLED_OFF, MORNING, at, ctx, line, order_request, problems, take
from tests.actions.rental_helpers import arch, hand_over, pole, rental
from tests.begun import begins_with

SUNDAY = at(10, days=1)


def _hand_over_rentals(database):
    with database.writing() as session:
        goods = load_catalogue(session)
        extras = (rental(pole(session), 3), rental(arch(session), 1))
        hand_over(session, take(session, order_request(goods, extras=extras, return_by=SUNDAY)))


template = begins_with("rentals", _hand_over_rentals)


@pytest.fixture
def rentals(session):
    """Three poles at 20.00 and an arch at 50.00 of deposit, handed over, due back on Sunday."""
    return session.scalars(select(Order)).one()


def _last_return(session, order):
    return rentals_of_order(session, order.number).returns[0].id


def _good(session, order, name="Pole"):
    return next(good for good in rentals_of_order(session, order.number).goods if good.name == name)


def _pole_back(session, order, back=0, lost=0, saved=0, key="k", note="", now=SUNDAY):
    came = [ReturnedGoods(_good(session, order).id, back, lost, saved)]
    return return_goods(ctx(session, who="Isolde", now=now), order.number, came, note, key)


def _history(session, order):
    return history_of(session, order)[-1]


def test_what_is_out_is_what_neither_came_back_nor_is_lost(session, rentals):
    _pole_back(session, rentals, back=1, lost=1, saved=1500)
    good = _good(session, rentals)
    assert (good.back, good.lost, good.out, good.kept_minor) == (1, 1, 1, 1500)
    assert _good(session, rentals, "Flower arch").out == 1


def test_all_back_in_one_tap_and_the_same_tap_again_changes_nothing(session, rentals):
    before = board_version(session)
    for _ in range(2):
        return_all(ctx(session, who="Isolde", now=SUNDAY), rentals.number, "once")
    row = rentals_of_order(session, rentals.number)
    assert (row.out, row.is_done, len(row.returns)) == (0, True, 2)
    assert board_version(session) == before + 1


def test_the_history_says_what_came_back_and_what_is_kept(session, rentals):
    _pole_back(session, rentals, back=2, lost=1, saved=1500, note="One is bent.")
    entry = _history(session, rentals)
    assert (entry.who, entry.act) == ("Isolde", "rentals returned: One is bent.")
    assert entry.changes == [
        ["Pole, out on rental", "3", "0"],
        ["Pole, lost", "0", "1"],
        ["Pole, security deposit kept", "0.00", "15.00"],
    ]


def test_no_more_comes_back_than_is_out(session, rentals):
    _pole_back(session, rentals, back=2, key="first")
    with pytest.raises(Refused) as refusal:
        _pole_back(session, rentals, back=1, lost=1, key="second")
    assert [*problems(refusal)] == [("back", 0)]
    assert _good(session, rentals).out == 1


@pytest.mark.parametrize(("back", "lost", "most"), [(1, 1, 4000), (0, 1, 2000), (1, 0, 2000)])
def test_no_more_is_kept_than_the_deposit_on_what_came_back_or_is_lost(session, rentals, back, lost, most):
    with pytest.raises(Refused) as refusal:
        _pole_back(session, rentals, back, lost, most + 1)
    assert [*problems(refusal)] == [("kept", 0)]
    _pole_back(session, rentals, back, lost, most)
    assert _good(session, rentals).kept_minor == most


@pytest.mark.parametrize("counts", [(-1, 1, 0), (1, -1, 0), (1, 0, -1)])
def test_nothing_is_counted_below_nought(session, rentals, counts):
    with pytest.raises(Refused):
        _pole_back(session, rentals, *counts)


def test_nothing_at_all_is_no_return(session, rentals):
    with pytest.raises(Refused) as refusal:
        _pole_back(session, rentals)
    assert [*problems(refusal)] == ["back"]


def test_when_nothing_is_out_any_more_the_second_is_told_so(session, rentals):
    return_all(ctx(session, who="Isolde", now=SUNDAY), rentals.number, "one")
    with pytest.raises(Refused) as refusal:
        return_all(ctx(session, who="Tobiah", now=SUNDAY), rentals.number, "two")
    assert problems(refusal)["back"] == [NOTHING_OUT]


def test_a_note_that_is_too_long_is_refused(session, rentals):
    with pytest.raises(Refused) as refusal:
        _pole_back(session, rentals, back=1, note="x" * 301)
    assert [*problems(refusal)] == ["note"]


def test_undone_they_are_out_again_and_a_second_undo_changes_nothing(session, rentals):
    return_all(ctx(session, who="Isolde", now=SUNDAY), rentals.number, "k")
    came = rentals_of_order(session, rentals.number).returns[-1].id
    for _ in range(2):
        undo_return(ctx(session, who="Tobiah", now=SUNDAY), rentals.number, came)
    row = rentals_of_order(session, rentals.number)
    assert (row.out, row.returns) == (4, [])
    assert _history(session, rentals).act == "return of rentals undone"
    assert _history(session, rentals).changes == [
        ["Pole, out on rental", "0", "3"],
        ["Flower arch, out on rental", "0", "1"],
    ]
    assert {(one.undone_at, one.undone_by) for one in session.scalars(select(RentalReturn))} == {(SUNDAY, "Tobiah")}


def test_only_the_press_that_is_named_is_undone(session, rentals):
    _pole_back(session, rentals, back=1, key="first")
    _pole_back(session, rentals, lost=1, saved=500, key="second")
    undo_return(
        ctx(session, who="Tobiah", now=SUNDAY),
        rentals.number,
        _last_return(session, rentals),
    )
    good = _good(session, rentals)
    assert (good.back, good.lost, good.out) == (0, 1, 2)


def test_a_press_that_comes_again_after_its_undo_does_not_count(session, rentals):
    return_all(ctx(session, who="Isolde", now=SUNDAY), rentals.number, "k")
    undo_return(
        ctx(session, who="Isolde", now=SUNDAY),
        rentals.number,
        _last_return(session, rentals),
    )
    return_all(ctx(session, who="Isolde", now=SUNDAY), rentals.number, "k")
    assert rentals_of_order(session, rentals.number).out == 4


def test_goods_of_another_order_are_not_undone_or_taken_back_from_here(session, rentals):
    catalogue = load_catalogue(session)
    other = take(
        session, order_request(catalogue, extras=(rental(pole(session), 1),), return_by=SUNDAY), key="other"
    )
    hand_over(session, other)
    _pole_back(session, rentals, back=1)
    with pytest.raises(NotFound):
        undo_return(
            ctx(session, who="Isolde", now=SUNDAY),
            other.number,
            _last_return(session, rentals),
        )
    with pytest.raises(NotFound):
        return_goods(
            ctx(session, who="Isolde", now=SUNDAY),
            other.number,
            [ReturnedGoods(_good(session, rentals).id, 1)],
            "",
            "x",
        )


def test_an_order_without_rentals_has_nothing_to_return(session, order):
    hand_over(session, order)
    with pytest.raises(NotFound):
        return_all(ctx(session, who="Isolde", now=SUNDAY), order.number, "k")


def test_what_has_not_gone_out_does_not_come_back(session, catalogue):
    order = take(session, order_request(catalogue, extras=(rental(pole(session), 1),), return_by=SUNDAY))
    with pytest.raises(Refused) as refusal:
        return_all(ctx(session, who="Isolde", now=at(8)), order.number, "k")
    assert [*problems(refusal)] == ["step"]
    assert rentals_out(session) == []


def test_a_hand_over_is_not_undone_while_its_goods_are_back(session, rentals):
    handed = active_taps(session, rentals.id, None)[-1].id
    return_all(ctx(session, who="Isolde", now=SUNDAY), rentals.number, "k")
    with pytest.raises(Refused) as refusal:
        undo_step(ctx(session, who="Isolde", now=SUNDAY), rentals.number, handed)
    assert [*problems(refusal)] == ["step"]
    undo_return(
        ctx(session, who="Isolde", now=SUNDAY),
        rentals.number,
        _last_return(session, rentals),
    )
    assert undo_step(ctx(session, who="Isolde", now=SUNDAY), rentals.number, handed).state == "open"


def test_of_the_deposit_held_what_is_kept_and_what_is_still_out_is_not_given_back(session, rentals):
    """By hand: 3 × 20 + 50 = 110 held; 2 poles and the arch are back, 5 is kept, 20 is for the pole still out."""
    session.add(
        Payment(
            client_key="p",
            order_id=rentals.id,
            direction="in",
            rental=True,
            amount_minor=11000,
            how="cash",
            note="",
            at=at(9),
            who="Maren",
        )
    )
    came = [
        ReturnedGoods(_good(session, rentals).id, 2, 0, 500),
        ReturnedGoods(_good(session, rentals, "Flower arch").id, 1),
    ]
    return_goods(ctx(session, who="Isolde", now=SUNDAY), rentals.number, came, "", "k")
    row = rentals_of_order(session, rentals.number)
    assert (row.deposits_agreed_minor, row.held_minor, row.kept_minor, row.refund_minor) == (
        11000,
        11000,
        500,
        8500,
    )


def test_without_a_deposit_that_was_paid_nothing_is_given_back(session, rentals):
    return_all(ctx(session, who="Isolde", now=SUNDAY), rentals.number, "k")
    assert rentals_of_order(session, rentals.number).refund_minor == 0


def test_two_people_at_once_count_the_same_goods_once(database):
    with database.writing() as session:
        order = take(
            session, order_request(load_catalogue(session), extras=(rental(pole(session), 3),), return_by=SUNDAY)
        )
        hand_over(session, order)
    ready = Barrier(2)

    def press(key):
        ready.wait()
        try:
            with database.writing() as mine:
                return_all(ctx(mine, who=key, now=SUNDAY), order.number, key)
        except Refused:
            return "refused"
        return "taken"

    with ThreadPoolExecutor(2) as both:
        assert sorted(both.map(press, ("Isolde", "Tobiah"))) == ["refused", "taken"]
    with database.reading() as after:
        assert sum(one.back for one in after.scalars(select(RentalReturn))) == 3


# A take-down


@pytest.fixture
def hanging(session):
    """Filled at the venue by two; a crew is let in at 23:00 to fetch the arch."""
    wanted = _with_take_down(session, extras=(rental(arch(session), 1),))
    order = take(session, wanted)
    hand_over(session, order)
    return order


def _with_take_down(session, **changes):
    at_venue = {
        "hand_over": HandOver.DELIVER,
        "arrives_at": at(14, 20),
        "travel_minutes": 20,
        "address": "The Corn Hall, 1 High Street",
        "take_down_at": at(23),
        "extras": (ExtraRequest(ExtraSort.TAKE_DOWN, 1),),
    }
    return order_request(load_catalogue(session), **(at_venue | changes))


def test_a_take_down_is_done_when_all_is_cut_and_fetched(session, hanging):
    return_all(ctx(session, who="Isolde", now=at(23, 10)), hanging.number, "k")
    assert not rentals_of_order(session, hanging.number).is_done
    cut_and_bin(ctx(session, who="Isolde", now=at(23, 20)), hanging.number, "c")
    assert rentals_of_order(session, hanging.number).is_done


def test_one_without_rentals_is_done_when_all_is_cut(session):
    order = take(session, _with_take_down(session))
    hand_over(session, order)
    assert not rentals_of_order(session, order.number).is_done
    cut_and_bin(ctx(session, who="Isolde", now=at(23, 20)), order.number, "c")
    assert rentals_of_order(session, order.number).is_done


def test_cut_and_binned_is_tapped_once_whoever_taps(session, hanging):
    before = board_version(session)
    for key in ("one", "one", "two"):
        cut_and_bin(ctx(session, who="Isolde", now=at(23, 20)), hanging.number, key)
    assert len(session.scalars(select(Tap).where(Tap.act == "cut and binned")).all()) == 1
    assert board_version(session) == before + 1


def test_cut_and_binned_is_no_step_of_the_hand_over(session, hanging):
    steps = [one.id for one in active_taps(session, hanging.id, None)]
    cut_and_bin(ctx(session, who="Isolde", now=at(23, 20)), hanging.number, "c")
    assert [one.id for one in active_taps(session, hanging.id, None)] == steps
    cut = rentals_of_order(session, hanging.number).cut.tap_id
    with pytest.raises(NotFound):
        undo_step(ctx(session, who="Isolde", now=at(23, 30)), hanging.number, cut)
    with pytest.raises(NotFound):
        undo_cut_and_bin(ctx(session, who="Isolde", now=at(23, 30)), hanging.number, steps[-1])


def test_an_undone_cut_is_to_be_cut_again(session, hanging):
    cut_and_bin(ctx(session, who="Isolde", now=at(23, 20)), hanging.number, "c")
    tap_id = rentals_of_order(session, hanging.number).cut.tap_id
    for _ in range(2):
        undo_cut_and_bin(ctx(session, who="Tobiah", now=at(23, 21)), hanging.number, tap_id)
    assert rentals_of_order(session, hanging.number).cut is None
    cut_and_bin(ctx(session, who="Isolde", now=at(23, 22)), hanging.number, "d")
    assert rentals_of_order(session, hanging.number).cut.at == at(23, 22)


def test_an_order_without_a_take_down_is_not_cut(session, rentals):
    with pytest.raises(Refused) as refusal:
        cut_and_bin(ctx(session, who="Isolde", now=SUNDAY), rentals.number, "c")
    assert [*problems(refusal)] == ["step"]


def test_what_has_not_gone_out_is_not_taken_down(session):
    order = take(session, _with_take_down(session))
    with pytest.raises(Refused):
        cut_and_bin(ctx(session, who="Isolde", now=at(8)), order.number, "c")


# The crew that it takes away


def _away(session, now=MORNING, excluding_order=None):
    session.flush()
    shop = load_shop(session)
    return load_work(
        ctx(session, shop=shop, now=now), load_roster(session, shop.opening), [now], excluding_order=excluding_order
    ).absences


def test_its_crew_leaves_before_it_is_let_in_and_takes_no_gas(session, hanging):
    """23:00 less and, after half an hour there, plus twenty minutes of way; the shop's crew is two."""
    assert _away(session) == (Absence(at(22, 40), at(23, 50), 2, {}),)


def test_without_a_way_it_takes_the_shops_and_the_shop_says_how_long_and_how_many(session):
    take(session, _with_take_down(session, hand_over=HandOver.COLLECT, arrives_at=None, travel_minutes=0))
    change_settings(session, {"take_down_minutes": 45, "crew": 3, "venue_travel_minutes": 10})
    assert _away(session) == (Absence(at(22, 50), at(23, 55), 3, {}),)


def test_a_crew_of_the_order_takes_down_as_many(session):
    venue = {"hand_over": HandOver.VENUE, "ready_by": at(10), "arrives_at": at(10, 20), "set_up_minutes": 10}
    venue |= {"hanging_minutes": 10, "crew": 4, "event_start": at(18), "lasts_until": at(22)}
    take(session, _with_take_down(session, **venue))
    fills, takes_down = _away(session)
    assert (fills.start, fills.hands, fills.points) == (at(16, 50), 4, {"helium": 1})
    assert takes_down == Absence(at(22, 40), at(23, 50), 4, {})


def test_nobody_leaves_for_a_cancelled_order_or_the_one_that_is_asked_about(session):
    order = take(session, _with_take_down(session))
    assert _away(session, excluding_order=order.number) == ()
    cancel_order(ctx(session, who="Maren", now=at(7)), order.number, order.version, CALLED_OFF)
    assert _away(session) == ()


def test_nobody_leaves_for_what_is_down_and_back_before(session, hanging):
    return_all(ctx(session, who="Isolde", now=at(21)), hanging.number, "k")
    assert len(_away(session, at(21))) == 1
    cut_and_bin(ctx(session, who="Isolde", now=at(21)), hanging.number, "c")
    assert _away(session, at(21)) == ()


def test_a_crew_that_tapped_all_there_is_still_on_its_way_back(session, hanging):
    return_all(ctx(session, who="Isolde", now=at(23, 20)), hanging.number, "k")
    cut_and_bin(ctx(session, who="Isolde", now=at(23, 20)), hanging.number, "c")
    assert [absences.end for absences in _away(session, at(23, 25))] == [at(23, 50)]


@pytest.fixture
def asked(session, catalogue):
    def ask(wanted, excluding_order=None):
        session.flush()
        shop = load_shop(session)
        quote = make_quote(wanted, shop, catalogue, MORNING)
        return fit_with_others(quote, load_bench(ctx(session, shop=shop, now=MORNING), quote, excluding_order)).fit

    return ask


def _noon(catalogue, **changes):
    """Three quarters of an hour of filling, to be done between eight and nine."""
    hour = {"ready_by": at(9), "event_start": at(12), "lasts_until": at(15)}
    return order_request(catalogue, line(catalogue, quantity=60), **(hour | changes))


def test_an_order_does_not_fit_while_the_only_hands_are_away_to_take_down(session, asked, catalogue):
    assert asked(_noon(catalogue)) is Fit.FITS
    day_before = {"ready_by": at(13, days=-1), "event_start": at(14, days=-1), "lasts_until": at(16, days=-1)}
    yesterday = _with_take_down(session, arrives_at=at(13, 20, days=-1), **day_before, take_down_at=at(8, 20))
    take(session, yesterday, now=at(7, days=-1))
    assert asked(_noon(catalogue)) is Fit.CANNOT


def test_an_orders_own_take_down_takes_hands_from_the_others(session, asked, catalogue):
    take(session, _noon(catalogue))
    tomorrow = {"ready_by": at(13, days=1), "event_start": at(14, days=1), "lasts_until": at(16, days=1)}
    assert asked(order_request(catalogue, **tomorrow)) is Fit.FITS
    assert asked(order_request(catalogue, **tomorrow, take_down_at=at(8, 30))) is Fit.CANNOT
