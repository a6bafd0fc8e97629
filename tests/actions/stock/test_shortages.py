"""What an order is told when the shelves have too little; two callers for the last twelve; what else is there."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Barrier

import pytest

from app.actions.errors import Refused
from app.actions.orders.overrides import Reasons
from app.actions.orders.take import cancel_order, reopen_order
from app.actions.records.shop import load_goods, load_shop
from app.actions.stock.articles import Article
from app.actions.stock.shortages import ask_shelves
from app.actions.stock.substitutes import instead_of, recoloured
from app.physics.balloon import Gas
from app.planning.window import Verdict
from app.quoting.quote import quote
from app.quoting.request import ExtraSort, ExtraWish
from app.store.engine import Database
from tests.actions.builders import (
    BY_TURNS,
    MORNING,
    change,
    design_line,
    line,
    new_design,
    part,
    problems,
    take,
    tap,
    wish,
)
from tests.actions.stock_cast import lot
from tests.actions.supplies_cast import bouquet_on, supply

WHY = "More come on Thursday."
DOZEN = {"quantity": 12}


def _stock(session, wanted, but=None):
    shop, goods = load_shop(session), load_goods(session)
    return ask_shelves(session, quote(wanted, shop, goods, MORNING), shop, goods, MORNING, but)


def _shorts(session, wanted):
    return [(short.want.colour, short.want.count, short.count) for short in _stock(session, wanted).shorts]


def test_a_shop_that_counts_nothing_is_told_nothing(session, goods):
    stock = _stock(session, wish(goods))
    assert (stock.is_counted, stock.shorts) == (False, ())


def test_what_is_there_is_not_short(session, goods):
    lot(session, 24)
    assert _shorts(session, wish(goods)) == []


def test_what_is_missing_is_told_by_colour(session, goods):
    lot(session, 20)
    lot(session, 5, "white")
    lines = line(goods, quantity=30, colours="20 red, 10 white")
    assert _shorts(session, wish(goods, lines)) == [("white", 10, 5)]


def test_two_lines_of_one_order_share_the_shelf(session, goods):
    lot(session, 20)
    lines = (line(goods, quantity=12), line(goods, quantity=12, treated=True))
    assert sum(count for *_, count in _shorts(session, wish(goods, *lines))) == 4


def test_a_promise_of_another_order_is_not_free(session, goods):
    lot(session, 30)
    take(session, wish(goods))
    assert _shorts(session, wish(goods)) == [("red", 24, 18)]


def test_it_says_from_when_it_would_be_there(session, goods):
    lot(session, 10)
    (short,) = _stock(session, wish(goods)).shorts
    assert (short.free, short.there_from) == (10, None)


def test_supplies_run_short_too(session, goods):
    bear = supply(session)
    design = bouquet_on(session, bear, 2)
    lot(session, 3, "", article=Article(supply_id=bear.id))
    more = ExtraWish(ExtraSort.SUPPLY, 1, bear.id)
    wanted = wish(load_goods(session), design_line(design, 2), extras=(more,))
    assert _shorts(session, wanted) == [("", 5, 2)]


def test_without_a_reason_it_is_not_taken_and_with_one_it_is_kept(session, goods):
    lot(session, 12)
    with pytest.raises(Refused) as refusal:
        take(session, wish(goods))
    assert [*problems(refusal)] == ["short_reason"]
    order = take(session, wish(goods, short_reason=f" {WHY} "))
    assert order.short_reason == WHY


def test_where_all_is_there_no_reason_is_kept(session, goods):
    lot(session, 24)
    assert take(session, wish(goods, short_reason=WHY)).short_reason == ""


def test_a_change_that_makes_nothing_shorter_needs_no_reason(session, goods):
    one = lot(session, 24)
    order = take(session, wish(goods))
    one.on_hand = 10.0  # somebody counted anew
    change(session, order, wish(goods, notes="side door"))
    assert order.notes == "side door"
    with pytest.raises(Refused) as refusal:
        change(session, order, wish(goods, line(goods, quantity=25)))
    assert [*problems(refusal)] == ["short_reason"]


def test_what_is_filled_of_it_is_not_asked_of_the_shelf_again(session, goods):
    lot(session, 24)
    order = take(session, wish(goods))
    tap(session, order.batches[0], "finish")
    change(session, order, wish(goods, notes="side door"))
    assert order.short_reason == ""
    with pytest.raises(Refused):
        change(session, order, wish(goods, line(goods, quantity=25)))


def test_it_is_opened_again_only_with_a_reason_when_others_have_them_now(session, goods):
    lot(session, 24)
    order = take(session, wish(goods))
    cancel_order(session, "Maren", order.number, order.version, MORNING)
    take(session, wish(goods), key="other")
    shop = load_shop(session)
    with pytest.raises(Refused) as refusal:
        reopen_order(session, "Maren", order.number, shop, goods, MORNING, Reasons(bench=BY_TURNS))
    assert [*problems(refusal)] == ["short_reason"]
    reopen_order(session, "Maren", order.number, shop, goods, MORNING, Reasons(BY_TURNS, WHY))
    assert (order.state, order.short_reason) == ("open", WHY)


def race(url):
    """Two callers want the last twelve red at the same moment: what became of each."""
    database = Database(url)
    ready = Barrier(2)

    def call(name):
        with database.reading() as session:
            goods = load_goods(session)
            wanted = wish(goods, line(goods, **DOZEN), customer=name, bench_reason=BY_TURNS)
            assert (
                ask_shelves(
                    session, quote(wanted, load_shop(session), goods, MORNING), load_shop(session), goods, MORNING
                ).shorts
                == ()
            )
        ready.wait()  # both were told that all is there
        try:
            with database.writing() as session:
                return take(session, wanted, key=name).customer
        except Refused as refused:
            return [problem.field for problem in refused.problems]

    with ThreadPoolExecutor(2) as callers:
        told = list(callers.map(call, ("Ada Birch", "Ben Cole")))
    database.engine.dispose()
    return told


def test_of_two_people_who_take_the_last_twelve_red_at_once_one_gets_them_and_one_is_told(database):
    with database.writing() as session:
        lot(session, 12)
    told = race(database.engine.url.render_as_string(hide_password=False))
    assert sorted(map(type, told), key=str) == [list, str]
    assert ["short_reason"] in told


# What is there instead


def _instead(session, wanted, but=None):
    shop, goods = load_shop(session), load_goods(session)

    def ask(other):
        return quote(other, shop, goods, MORNING)

    answer = ask(wanted)
    stock = ask_shelves(session, answer, shop, goods, MORNING, but)
    return instead_of(session, answer, stock, ask, shop, goods, MORNING, but)


def _titles(found):
    return [(one.answer.lines[one.line].title, one.answer.wish.lines[one.line].colours, one.free) for one in found]


def test_another_colour_of_which_enough_is_there_is_offered_the_most_first(session, goods):
    for count, colour in ((5, "red"), (30, "blush"), (60, "Navy"), (10, "gold")):
        lot(session, count, colour)
    found = _titles(_instead(session, wish(goods)))
    assert [colours for _, colours, _ in found] == ["5 red, 19 Navy", "Navy", "blush"]
    assert [free for *_, free in found] == [60, 60, 30]


def test_only_the_colour_that_is_short_is_replaced(session, goods):
    for count, colour in ((5, "red"), (60, "white"), (40, "gold")):
        lot(session, count, colour)
    counted = wish(goods, line(goods, colours="12 red, 12 white"))
    assert [colours for _, colours, _ in _titles(_instead(session, counted))] == [
        "5 red, 12 white, 7 gold",
        "12 gold, 12 white",
    ]
    named = wish(goods, line(goods, colours="red, white"))
    assert [colours for _, colours, _ in _titles(_instead(session, named))] == [
        "5 red, 12 white, 7 gold",
        "gold, white",
    ]


def test_another_size_in_that_colour_is_offered_if_it_is_there_and_floats_as_well(session, goods):
    lot(session, 5)
    for count, name in ((50, "12 in latex"), (50, "5 in latex"), (3, "10 in latex"), (50, "16 in latex")):
        lot(session, count, name=name)
    found = _instead(session, wish(goods))
    assert [title for title, *_ in _titles(found)] == ["12 in latex", "16 in latex"]
    assert all(one.answer.verdict is Verdict.SAFE for one in found)
    assert [one.costs_minor for one in found] == [24 * (120 - 110), 24 * (160 - 110)]


def test_what_is_not_counted_is_not_offered(session, goods):
    lot(session, 5)
    assert _instead(session, wish(goods)) == []


def test_a_design_takes_another_colour_where_the_customer_chooses_it_and_no_other_size(session, goods):
    for count, colour, name in (
        (5, "blue", "11 in latex"),
        (50, "gold", "11 in latex"),
        (50, "blue", "12 in latex"),
    ):
        lot(session, count, colour, name)
    free = new_design(session, goods)
    fixed = new_design(session, goods, name="Set in red", parts=(part(goods, colours=(("red", 9),)),))
    goods = load_goods(session)
    assert [colours for _, colours, _ in _titles(_instead(session, wish(goods, design_line(free))))] == ["gold"]
    assert _instead(session, wish(goods, design_line(fixed))) == []


def test_a_colour_in_place_of_itself_stays_what_was_typed(goods):
    wanted = line(goods, colours="8 Red, 16 white")
    assert recoloured(wanted, "red", "gold") == replace(wanted, colours="8 gold, 16 white")
    assert recoloured(wanted, "teal", "gold") is None
    assert recoloured(replace(wanted, colours=""), "", "gold") is None


def test_a_colour_that_the_line_has_already_replaces_none(goods):
    assert recoloured(line(goods, colours="8 red, 16 gold"), "red", "Gold") is None


def test_only_what_is_missing_is_replaced_where_some_is_there(goods):
    assert recoloured(line(goods, colours="red, white"), "red", "gold", 2).colours == "10 red, 12 white, 2 gold"
    assert recoloured(line(goods, colours="red, white"), "red", "gold", 12) is None


def test_what_would_make_something_else_short_is_not_offered(session, goods):
    """Fifteen white are there, ten of them wanted with helium: twelve more in place of the red are too many."""
    for count, colour in ((5, "red"), (15, "white"), (12, "gold")):
        lot(session, count, colour)
    lines = (line(goods, quantity=10, colours="white"), line(goods, quantity=12, gas=Gas.AIR))
    offered = [colours for _, colours, _ in _titles(_instead(session, wish(goods, *lines)))]
    assert offered == ["5 red, 7 gold", "gold"]


def test_what_the_order_takes_in_two_batches_of_one_colour_hinders_no_offer(session, goods):
    for count, colour in ((16, "red"), (3, "white"), (40, "gold")):
        lot(session, count, colour)
    red = (line(goods, quantity=12), line(goods, quantity=4, gas=Gas.AIR))
    found = _instead(session, wish(goods, *red, line(goods, quantity=6, colours="white")))
    assert [(one.line, one.answer.wish.lines[one.line].colours) for one in found] == [
        (2, "3 white, 3 gold"),
        (2, "gold"),
    ]


def test_an_end_of_one_lack_does_not_make_up_for_another(session, goods):
    lot(session, 20)
    bear = supply(session)
    lot(session, 1, "", article=Article(supply_id=bear.id))
    bears = (ExtraWish(ExtraSort.SUPPLY, 30, bear.id),)
    order = take(session, wish(load_goods(session), line(goods, quantity=20), extras=bears, short_reason=WHY))
    with pytest.raises(Refused) as refusal:
        change(session, order, wish(load_goods(session), line(goods, quantity=24)))
    assert [*problems(refusal)] == ["short_reason"]


def test_a_colour_that_was_changed_after_filling_is_asked_of_the_shelf(session, goods):
    lot(session, 24)
    lot(session, 3, "blue")
    order = take(session, wish(goods))
    tap(session, order.batches[0], "finish")
    with pytest.raises(Refused) as refusal:
        change(session, order, wish(goods, line(goods, colours="blue")))
    assert [*problems(refusal)] == ["short_reason"]


@pytest.mark.parametrize("said", ["", "any colour", "Any  Colour", "ANY COLOUR"])
def test_any_colour_is_none_however_it_is_written(session, goods, said):
    lot(session, 20)
    lot(session, 10, "white")
    assert _shorts(session, wish(goods, line(goods, colours=said))) == []
    assert [count for *_, count in _shorts(session, wish(goods, line(goods, quantity=31, colours=said)))] == [1]
