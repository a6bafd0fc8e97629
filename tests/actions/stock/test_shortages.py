"""What an order is told when the shelves have too little; two callers for the last twelve; what else is there."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Barrier

import pytest

from app.actions.orders.cancel import cancel_order, reopen_order
from app.actions.orders.overrides import Overrides
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.stock.articles import Article
from app.actions.stock.shortages import find_shortages
from app.actions.stock.substitutes import find_substitutes, recoloured
from app.physics.balloon import Gas
from app.planning.window import Verdict
from app.quoting.errors import Refused
from app.quoting.quote import make_quote
from app.quoting.request import ExtraRequest, ExtraSort
from app.store.engine import Database
from tests.actions.builders import (
    BENCH_REASON,
    CALLED_OFF,
    MORNING,
    change,
    ctx,
    design_line,
    line,
    new_design,
    order_request,
    part,
    problems,
    take,
    tap,
)
from tests.actions.stock_helpers import lot
from tests.actions.supply_helpers import bouquet_on, supply

WHY = "More come on Thursday."
DOZEN = {"quantity": 12}


def _stock(session, wanted, excluding_order=None):
    shop, catalogue = load_shop(session), load_catalogue(session)
    return find_shortages(
        ctx(session, shop=shop, catalogue=catalogue, now=MORNING),
        make_quote(wanted, shop, catalogue, MORNING),
        excluding_order,
    )


def _shorts(session, wanted):
    return [(short.need.colour, short.need.count, short.count) for short in _stock(session, wanted).shortages]


def test_a_shop_that_counts_nothing_is_shown_nothing(session, catalogue):
    stock = _stock(session, order_request(catalogue))
    assert (stock.is_counted, stock.shortages) == (False, ())


def test_what_is_there_is_not_short(session, catalogue):
    lot(session, 24)
    assert _shorts(session, order_request(catalogue)) == []


def test_an_order_that_only_old_latex_could_fill_is_asked_about_and_its_reason_is_saved(session, catalogue):
    lot(session, 4)
    lot(session, 30, days_ago=400)
    wanted = order_request(catalogue)
    (short,) = _stock(session, wanted).shortages
    assert (short.count, short.free, short.old) == (20, 4, 30)
    with pytest.raises(Refused) as refusal:
        take(session, wanted)
    assert list(problems(refusal)) == ["stock_override"]
    assert take(session, replace(wanted, stock_override=WHY)).stock_override == WHY


def test_what_is_missing_is_shown_by_colour(session, catalogue):
    lot(session, 20)
    lot(session, 5, "white")
    lines = line(catalogue, quantity=30, colours="20 red, 10 white")
    assert _shorts(session, order_request(catalogue, lines)) == [("white", 10, 5)]


def test_two_lines_of_one_order_share_the_shelf(session, catalogue):
    lot(session, 20)
    lines = (line(catalogue, quantity=12), line(catalogue, quantity=12, treated=True))
    assert sum(count for *_, count in _shorts(session, order_request(catalogue, *lines))) == 4


def test_a_promise_of_another_order_is_not_free(session, catalogue):
    lot(session, 30)
    take(session, order_request(catalogue))
    assert _shorts(session, order_request(catalogue)) == [("red", 24, 18)]


def test_it_says_from_when_it_would_be_there(session, catalogue):
    lot(session, 10)
    (short,) = _stock(session, order_request(catalogue)).shortages
    assert (short.free, short.enough_from) == (10, None)


def test_supplies_run_short_too(session, catalogue):
    bear = supply(session)
    design = bouquet_on(session, bear, 2)
    lot(session, 3, "", article=Article(supply_id=bear.id))
    more = ExtraRequest(ExtraSort.SUPPLY, 1, bear.id)
    wanted = order_request(load_catalogue(session), design_line(design, 2), extras=(more,))
    assert _shorts(session, wanted) == [("", 5, 2)]


def test_without_a_reason_it_is_not_taken_and_with_one_it_is_saved(session, catalogue):
    lot(session, 12)
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue))
    assert [*problems(refusal)] == ["stock_override"]
    order = take(session, order_request(catalogue, stock_override=f" {WHY} "))
    assert order.stock_override == WHY


def test_where_all_is_there_no_reason_is_saved(session, catalogue):
    lot(session, 24)
    assert take(session, order_request(catalogue, stock_override=WHY)).stock_override == ""


def test_a_change_that_makes_nothing_shorter_needs_no_reason(session, catalogue):
    one = lot(session, 24)
    order = take(session, order_request(catalogue))
    one.on_hand = 10.0  # somebody counted anew
    change(session, order, order_request(catalogue, notes="side door"))
    assert order.notes == "side door"
    with pytest.raises(Refused) as refusal:
        change(session, order, order_request(catalogue, line(catalogue, quantity=25)))
    assert [*problems(refusal)] == ["stock_override"]


def test_what_is_filled_of_it_is_not_asked_of_the_shelf_again(session, catalogue):
    lot(session, 24)
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "finish")
    change(session, order, order_request(catalogue, notes="side door"))
    assert order.stock_override == ""
    with pytest.raises(Refused):
        change(session, order, order_request(catalogue, line(catalogue, quantity=25)))


def test_it_is_opened_again_only_with_a_reason_when_others_have_them_now(session, catalogue):
    lot(session, 24)
    order = take(session, order_request(catalogue))
    cancel_order(ctx(session, who="Maren", now=MORNING), order.number, order.version, CALLED_OFF)
    take(session, order_request(catalogue), key="other")
    shop = load_shop(session)
    with pytest.raises(Refused) as refusal:
        reopen_order(
            ctx(session, who="Maren", shop=shop, catalogue=catalogue, now=MORNING),
            order.number,
            Overrides(bench=BENCH_REASON),
        )
    assert [*problems(refusal)] == ["stock_override"]
    reopen_order(
        ctx(session, who="Maren", shop=shop, catalogue=catalogue, now=MORNING),
        order.number,
        Overrides(BENCH_REASON, WHY),
    )
    assert (order.state, order.stock_override) == ("open", WHY)


def race(url):
    """Two callers want the last twelve red at the same moment: what became of each."""
    database = Database(url)
    ready = Barrier(2)

    def call(name):
        with database.reading() as session:
            catalogue = load_catalogue(session)
            wanted = order_request(catalogue, line(catalogue, **DOZEN), customer=name, bench_override=BENCH_REASON)
            assert (
                find_shortages(
                    ctx(session, shop=load_shop(session), catalogue=catalogue, now=MORNING),
                    make_quote(wanted, load_shop(session), catalogue, MORNING),
                ).shortages
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


def test_of_two_people_who_take_the_last_twelve_red_at_once_one_gets_them_and_one_is_shown(database):
    with database.writing() as session:
        lot(session, 12)
    told = race(database.engine.url.render_as_string(hide_password=False))
    assert sorted(map(type, told), key=str) == [list, str]
    assert ["stock_override"] in told


# What is there instead


def _instead(session, wanted, excluding_order=None):
    shop, catalogue = load_shop(session), load_catalogue(session)

    def ask(other):
        return make_quote(other, shop, catalogue, MORNING)

    quote = ask(wanted)
    stock = find_shortages(ctx(session, shop=shop, catalogue=catalogue, now=MORNING), quote, excluding_order)
    return find_substitutes(
        ctx(session, shop=shop, catalogue=catalogue, now=MORNING), quote, stock, ask, excluding_order
    )


def _titles(found):
    return [(one.quote.lines[one.line].title, one.quote.request.lines[one.line].colours, one.free) for one in found]


def test_another_colour_of_which_enough_is_there_is_offered_the_most_first(session, catalogue):
    for count, colour in ((5, "red"), (30, "blush"), (60, "Navy"), (10, "gold")):
        lot(session, count, colour)
    found = _titles(_instead(session, order_request(catalogue)))
    assert [colours for _, colours, _ in found] == ["5 red, 19 Navy", "Navy", "blush"]
    assert [free for *_, free in found] == [60, 60, 30]


def test_only_the_colour_that_is_short_is_replaced(session, catalogue):
    for count, colour in ((5, "red"), (60, "white"), (40, "gold")):
        lot(session, count, colour)
    counted = order_request(catalogue, line(catalogue, colours="12 red, 12 white"))
    assert [colours for _, colours, _ in _titles(_instead(session, counted))] == [
        "5 red, 12 white, 7 gold",
        "12 gold, 12 white",
    ]
    named = order_request(catalogue, line(catalogue, colours="red, white"))
    assert [colours for _, colours, _ in _titles(_instead(session, named))] == [
        "5 red, 12 white, 7 gold",
        "gold, white",
    ]


def test_another_size_in_that_colour_is_offered_if_it_is_there_and_floats_as_well(session, catalogue):
    lot(session, 5)
    for count, name in ((50, "12 in latex"), (50, "5 in latex"), (3, "10 in latex"), (50, "16 in latex")):
        lot(session, count, name=name)
    found = _instead(session, order_request(catalogue))
    assert [title for title, *_ in _titles(found)] == ["12 in latex", "16 in latex"]
    assert all(one.quote.float_verdict is Verdict.SAFE for one in found)
    assert [one.costs_minor for one in found] == [24 * (120 - 110), 24 * (160 - 110)]


def test_no_other_latex_is_offered_where_somebody_is_allergic_to_it(session, catalogue):
    lot(session, 5)
    lot(session, 50, "Navy")
    lot(session, 1, "gold", "18 in foil")
    lot(session, 9, "silver", "18 in foil")
    wanted = line(catalogue), line(catalogue, "18 in foil", 3, colours="gold")
    places = {
        said: {one.line for one in _instead(session, order_request(catalogue, *wanted, latex_allergy=said))}
        for said in (True, False)
    }
    assert places == {True: {1}, False: {0, 1}}


def test_what_is_not_counted_is_not_offered(session, catalogue):
    lot(session, 5)
    assert _instead(session, order_request(catalogue)) == []


def test_a_design_takes_another_colour_where_the_customer_chooses_it_and_no_other_size(session, catalogue):
    for count, colour, name in (
        (5, "blue", "11 in latex"),
        (50, "gold", "11 in latex"),
        (50, "blue", "12 in latex"),
    ):
        lot(session, count, colour, name)
    free = new_design(session, catalogue)
    fixed = new_design(session, catalogue, name="Set in red", parts=(part(catalogue, colours=(("red", 9),)),))
    catalogue = load_catalogue(session)
    assert [
        colours for _, colours, _ in _titles(_instead(session, order_request(catalogue, design_line(free))))
    ] == ["gold"]
    assert _instead(session, order_request(catalogue, design_line(fixed))) == []


def test_a_colour_in_place_of_itself_stays_what_was_typed(catalogue):
    wanted = line(catalogue, colours="8 Red, 16 white")
    assert recoloured(wanted, "red", "gold") == replace(wanted, colours="8 gold, 16 white")
    assert recoloured(wanted, "teal", "gold") is None
    assert recoloured(replace(wanted, colours=""), "", "gold") is None


def test_a_colour_that_the_line_has_already_replaces_none(catalogue):
    assert recoloured(line(catalogue, colours="8 red, 16 gold"), "red", "Gold") is None


def test_only_what_is_missing_is_replaced_where_some_is_there(catalogue):
    assert recoloured(line(catalogue, colours="red, white"), "red", "gold", 2).colours == "10 red, 12 white, 2 gold"
    assert recoloured(line(catalogue, colours="red, white"), "red", "gold", 12) is None


def test_what_would_make_something_else_short_is_not_offered(session, catalogue):
    """Fifteen white are there, ten of them wanted with helium: twelve more in place of the red are too many."""
    for count, colour in ((5, "red"), (15, "white"), (12, "gold")):
        lot(session, count, colour)
    lines = (line(catalogue, quantity=10, colours="white"), line(catalogue, quantity=12, gas=Gas.AIR))
    offered = [colours for _, colours, _ in _titles(_instead(session, order_request(catalogue, *lines)))]
    assert offered == ["5 red, 7 gold", "gold"]


def test_what_the_order_takes_in_two_batches_of_one_colour_hinders_no_offer(session, catalogue):
    for count, colour in ((16, "red"), (3, "white"), (40, "gold")):
        lot(session, count, colour)
    red = (line(catalogue, quantity=12), line(catalogue, quantity=4, gas=Gas.AIR))
    found = _instead(session, order_request(catalogue, *red, line(catalogue, quantity=6, colours="white")))
    assert [(one.line, one.quote.request.lines[one.line].colours) for one in found] == [
        (2, "3 white, 3 gold"),
        (2, "gold"),
    ]


def test_an_end_of_one_lack_does_not_make_up_for_another(session, catalogue):
    lot(session, 20)
    bear = supply(session)
    lot(session, 1, "", article=Article(supply_id=bear.id))
    bears = (ExtraRequest(ExtraSort.SUPPLY, 30, bear.id),)
    order = take(
        session,
        order_request(load_catalogue(session), line(catalogue, quantity=20), extras=bears, stock_override=WHY),
    )
    with pytest.raises(Refused) as refusal:
        change(session, order, order_request(load_catalogue(session), line(catalogue, quantity=24)))
    assert [*problems(refusal)] == ["stock_override"]


def test_a_colour_that_was_changed_after_filling_is_asked_of_the_shelf(session, catalogue):
    lot(session, 24)
    lot(session, 3, "blue")
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "finish")
    with pytest.raises(Refused) as refusal:
        change(session, order, order_request(catalogue, line(catalogue, colours="blue")))
    assert [*problems(refusal)] == ["stock_override"]


@pytest.mark.parametrize("said", ["", "any colour", "Any  Colour", "ANY COLOUR"])
def test_any_colour_is_none_however_it_is_written(session, catalogue, said):
    lot(session, 20)
    lot(session, 10, "white")
    assert _shorts(session, order_request(catalogue, line(catalogue, colours=said))) == []
    assert [
        count
        for *_, count in _shorts(session, order_request(catalogue, line(catalogue, quantity=31, colours=said)))
    ] == [1]
