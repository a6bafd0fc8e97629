"""What is free by date: by hand, against a maximum flow (networkx), and against a shop played through by days."""

from collections import defaultdict
from datetime import date, timedelta

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.planning.stock import ANY, ArticleStock, StockChange, StockShortage, packs_needed
from tests.amounts import amount

TODAY = date(2026, 11, 21)
COLOURS = (ANY, "red", "white")


def on(days):
    return TODAY + timedelta(days=days)


def shelf(on_shelf, coming=(), promised=()):
    return ArticleStock(
        TODAY,
        on_shelf,
        [StockChange(on(d), c, n) for d, c, n in coming],
        [StockChange(on(d), c, n) for d, c, n in promised],
    )


def test_what_lies_there_less_what_is_promised_is_free():
    red = shelf([("red", 40)], promised=[(3, "red", 28)])
    assert red.free("red", on(0)) == red.free("red", on(5)) == 12


def test_what_is_promised_for_later_is_not_free_today():
    """Forty are there and promised; what comes the day before lets one sell twenty till then."""
    red = shelf([("red", 40)], coming=[(5, "red", 20)], promised=[(6, "red", 40)])
    assert red.free("red", on(0)) == 20
    assert red.free("red", on(5)) == 20
    assert shelf([("red", 40)], promised=[(6, "red", 40)]).free("red", on(0)) == 0


def test_what_comes_serves_from_its_day_on():
    red = shelf([("red", 5)], coming=[(4, "red", 100)])
    assert [red.free("red", on(day)) for day in (0, 3, 4, 9)] == [5, 5, 105, 105]


def test_whoever_takes_any_colour_gets_what_no_colour_needs():
    mixed = shelf([("red", 10), ("white", 10)], promised=[(2, "red", 8), (1, ANY, 6)])
    assert mixed.free(ANY, on(0)) == 6
    assert mixed.free("white", on(0)) == 6  # 10, of which at least 4 go to those who take any
    assert mixed.free("red", on(0)) == 2


def test_a_pack_without_a_colour_serves_no_named_one():
    mixed = shelf([("red", 10), (ANY, 50)])
    assert mixed.free("red", on(0)) == 10
    assert mixed.free("white", on(0)) == 0
    assert mixed.free(ANY, on(0)) == 60


def test_where_no_colour_is_told_apart_all_is_one_heap():
    plain = shelf([(ANY, 30)], promised=[(1, "gold", 12)])
    assert not plain.by_colour
    assert plain.free("gold", on(0)) == plain.free("silver", on(0)) == plain.free(ANY, on(0)) == 18
    assert plain.shortages() == []


def test_what_was_promised_for_yesterday_is_still_to_be_taken():
    assert shelf([("red", 10)], promised=[(-1, "red", 4)]).free("red", on(0)) == 6


def test_it_says_what_is_wanting_and_from_when():
    short = shelf([("red", 10), ("white", 3)], coming=[(5, "red", 10)], promised=[(1, "red", 14), (2, ANY, 5)])
    assert short.shortages() == [StockShortage("red", on(1), 4), StockShortage(ANY, on(2), 2)]
    assert short.shortages(until=on(1)) == [StockShortage("red", on(1), 4)]
    assert short.free("red", on(0)) == 0


def test_the_days_of_a_colour_tell_what_comes_goes_and_is_free():
    days = shelf([("red", 20)], coming=[(3, "red", 50)], promised=[(1, "red", 15)]).days_of("red")
    assert [(day.day, day.comes, day.promised, day.free) for day in days] == [
        (on(0), 0, 0, 5),
        (on(1), 0, 15, 5),
        (on(3), 50, 0, 55),
    ]


@pytest.mark.parametrize(("count", "size", "wanted"), [(0, 100, 0), (1, 100, 1), (100, 100, 1), (101, 100, 2)])
def test_packs_are_whole(count, size, wanted):
    assert packs_needed(count, size) == wanted


def test_a_pack_holds_something():
    with pytest.raises(ValueError, match="pack"):
        packs_needed(5, 0)


colours, days, counts = st.sampled_from(COLOURS), st.integers(0, 5), st.integers(1, 9)
availability = st.builds(
    lambda on_shelf, coming, promised: (on_shelf, coming, promised),
    st.lists(st.tuples(colours, counts), max_size=3),
    st.lists(st.tuples(days, colours, counts), max_size=3),
    st.lists(st.tuples(days, colours, counts), max_size=5),
)


def most_kept(on_shelf, coming, promised):
    """Units of promises that can be kept at all: a maximum flow from goods to requests, by networkx."""
    told_apart = any(colour for colour, _ in on_shelf) or any(colour for _, colour, _ in coming)
    graph = networkx.DiGraph()
    graph.add_nodes_from(["goods", "wishes"])
    arrivals = [(0, colour, count) for colour, count in on_shelf] + list(coming)
    for place, (day, colour, count) in enumerate(arrivals):
        graph.add_edge("goods", ("lot", place), capacity=count)
        for number, (wanted_on, wanted, _) in enumerate(promised):
            if day <= wanted_on and (not told_apart or wanted in (ANY, colour)):
                graph.add_edge(("lot", place), ("wish", number))
    for number, (_, _, count) in enumerate(promised):
        graph.add_edge(("wish", number), "wishes", capacity=count)
    return networkx.maximum_flow_value(graph, "goods", "wishes")


@settings(max_examples=amount(30, deep=150), deadline=None)
@given(availability, colours, days)
def test_free_is_the_most_that_leaves_every_promise_kept(kept, colour, day):
    on_shelf, coming, promised = kept
    if most_kept(*kept) < sum(count for *_, count in promised):
        return  # what is already short is the next test's
    free = shelf(*kept).free(colour, on(day))
    assert free == int(free)
    for more, fits in ((int(free), True), (int(free) + 1, False)):
        asked = [*promised, (day, colour, more)]
        assert (most_kept(on_shelf, coming, asked) == sum(count for *_, count in asked)) is fits


@settings(max_examples=amount(30, deep=150), deadline=None)
@given(availability)
def test_something_is_lacking_exactly_when_not_every_promise_can_be_kept(kept):
    lacks = shelf(*kept).shortages()
    assert bool(lacks) is (most_kept(*kept) < sum(count for *_, count in kept[2]))
    assert all(lack.count > 0 for lack in lacks)


@settings(max_examples=amount(30, deep=100), deadline=None)
@given(availability)
def test_what_is_lacking_is_enough_when_it_is_there_at_once(kept):
    """Bought today in the colours that are told, nothing is short any more."""
    on_shelf, *_ = kept
    bought = [(lack.colour, lack.count) for lack in shelf(*kept).shortages()]
    filled_up = ArticleStock(TODAY, [*on_shelf, *bought], shelf(*kept).coming, shelf(*kept).promised)
    if filled_up.by_colour == shelf(*kept).by_colour:
        assert filled_up.shortages() == []


acts = st.one_of(
    st.tuples(st.just("order"), st.integers(0, 6), st.sampled_from(("red", "white")), st.integers(1, 12)),
    st.tuples(st.just("deliver"), st.integers(0, 6), st.sampled_from(("red", "white")), st.integers(1, 20)),
    st.tuples(st.just("change"), st.integers(0, 20), st.integers(0, 6), st.integers(1, 12)),
    st.tuples(st.just("cancel"), st.integers(0, 20), st.just(0), st.just(0)),
    st.tuples(st.just("burst"), st.just(0), st.sampled_from(("red", "white")), st.integers(1, 2)),
)


def play_through(stock, orders, deliveries):
    """Day by day: what comes is put there, what is wanted is taken. Whether it sufficed."""
    stock = dict(stock)
    for day in range(8):
        for due, colour, count in deliveries:
            stock[colour] += count if due == day else 0
        for wanted_on, colour, count in orders:
            stock[colour] -= count if wanted_on == day else 0
        if min(stock.values()) < 0:
            return False
    return True


@settings(max_examples=amount(30, deep=100), deadline=None)
@given(st.lists(acts, max_size=14))
def test_a_shop_that_promises_only_what_is_free_never_runs_short(history):
    """Orders, changes, cancellations, deliveries and bursts in any order: a promise is made exactly when the shelf,
    played through day by day, can keep it beside all others."""
    stock, orders, deliveries = defaultdict(int, red=10, white=10), [], []

    def now():
        return shelf(list(stock.items()), deliveries, orders)

    for act, first, second, count in history:
        if act == "deliver":
            deliveries.append((first, second, count))
        elif act == "burst":
            if stock[second] - count >= 0 and play_through(
                stock | {second: stock[second] - count}, orders, deliveries
            ):
                stock[second] -= count
        elif act == "order":
            fits = now().free(second, on(first)) >= count
            assert fits is play_through(stock, [*orders, (first, second, count)], deliveries)
            orders += [(first, second, count)] if fits else []
        elif orders:
            place = first % len(orders)
            was = orders.pop(place)
            if act == "change":
                fits = now().free(was[1], on(second)) >= count
                assert fits is play_through(stock, [*orders, (second, was[1], count)], deliveries)
                orders.append((second, was[1], count) if fits else was)
    assert play_through(stock, orders, deliveries)
