"""What must be ordered: by hand, and against a shop played through day by day with every way of giving out."""

from collections import Counter
from datetime import date, timedelta
from itertools import product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from app.planning.buying import Purchase, purchases_needed, shortages_before
from app.planning.stock import ANY, ArticleStock, StockChange, StockShortage
from tests.amounts import amount

TODAY = date(2026, 11, 21)
COLOURS = (ANY, "red", "white")
FIRST, SECOND = 2, 5


def on(days):
    return TODAY + timedelta(days=days)


def shelf(on_shelf=(), coming=(), promised=()):
    return ArticleStock(
        TODAY,
        on_shelf,
        [StockChange(on(d), c, n) for d, c, n in coming],
        [StockChange(on(d), c, n) for d, c, n in promised],
    )


def bought(one, pack=10):
    return purchases_needed(one, on(FIRST), on(SECOND), pack)


def test_what_is_wanting_until_the_next_delivery_comes_in_whole_packs():
    assert bought(shelf([("red", 4)], promised=[(4, "red", 15)])) == [Purchase("red", 11, 2)]


def test_what_is_wanted_after_the_second_delivery_is_left_to_it():
    assert bought(shelf([("red", 0)], promised=[(6, "red", 15)])) == []
    assert bought(shelf([("red", 0)], promised=[(5, "red", 15)])) == [Purchase("red", 15, 2)]


def test_what_comes_on_the_first_day_is_too_late_for_that_day():
    one = shelf([("red", 0)], promised=[(2, "red", 15), (3, "red", 7)])
    assert shortages_before(one, on(FIRST)) == [StockShortage("red", on(2), 15)]
    assert bought(one) == [Purchase("red", 7, 1)]


def test_the_rest_of_a_pack_serves_whoever_takes_any_colour():
    one = shelf([("red", 0)], promised=[(4, "red", 3), (4, ANY, 6), (5, ANY, 4)])
    assert bought(one) == [Purchase("red", 3, 1), Purchase(ANY, 3, 1)]


def test_a_colour_that_any_wish_uses_up_before_is_bought_again():
    """Ten red are there: tomorrow's ten of any colour take them, and the red for Wednesday come on Monday."""
    one = shelf([("red", 10)], promised=[(1, ANY, 10), (4, "red", 10)])
    assert shortages_before(one, on(FIRST)) == []
    assert bought(one) == [Purchase("red", 10, 1)]


def test_what_comes_too_late_for_a_colour_serves_whoever_takes_any():
    """Found by chance: one red is short today, so the one of tomorrow is free for tomorrow's any colour."""
    one = shelf(coming=[(1, "red", 1)], promised=[(0, "red", 1), (1, ANY, 1)])
    assert shortages_before(one, on(FIRST)) == [StockShortage("red", on(0), 1)]


def test_without_colours_all_is_one_heap():
    assert bought(shelf([(ANY, 3)], promised=[(4, "gold", 6), (4, ANY, 6)])) == [Purchase(ANY, 9, 1)]


def test_a_colour_that_only_comes_is_told_apart_before_it_is_there():
    one = shelf(coming=[(3, "red", 10)], promised=[(4, "red", 6), (1, "red", 2)])
    assert shortages_before(one, on(FIRST)) == [StockShortage("red", on(1), 2)]


def test_a_supply_is_counted_in_its_unit():
    assert bought(shelf([(ANY, 2.5)], promised=[(3, ANY, 2.5), (4, ANY, 100.1)]), 100.0) == [
        Purchase(ANY, pytest.approx(100.1), 2)
    ]


counts = st.integers(1, 6)
changes = st.lists(st.tuples(st.integers(0, SECOND + 1), st.sampled_from(COLOURS), counts), max_size=3)
availability = st.builds(
    shelf, st.lists(st.tuples(st.sampled_from(COLOURS), st.integers(0, 6)), max_size=3), changes, changes
)


def _can_keep(on_shelf, comes, goes, last):
    """Whether all promises up to a day can be kept: every way of giving out what any colour serves is tried."""
    stocks = {tuple(on_shelf[colour] for colour in COLOURS)}
    for day in range(last + 1):
        kept = set()
        for stock in stocks:
            plain, red, white = (lies + comes[day, c] for lies, c in zip(stock, COLOURS, strict=True))
            red, white, wanted = red - goes[day, "red"], white - goes[day, "white"], goes[day, ANY]
            if min(red, white) < 0:
                continue
            for of_red, of_white in product(range(min(red, wanted) + 1), range(min(white, wanted) + 1)):
                of_plain = wanted - of_red - of_white
                if 0 <= of_plain <= plain:
                    kept.add((plain - of_plain, red - of_red, white - of_white))
        stocks = kept
    return bool(stocks)


def _played(one, more):
    """What lies there, comes and is promised, by day and colour, as the test counts it itself."""
    on_shelf, comes, goes = Counter(), Counter(), Counter()
    for colour, count in one.in_stock:
        on_shelf[colour] += int(count)
    for change in one.coming:
        comes[(change.day - TODAY).days, change.colour] += int(change.count)
    for change in one.promised:
        goes[(change.day - TODAY).days, change.colour] += int(change.count)
    for day, colour, count in more:
        comes[day, colour] += int(count)
    return on_shelf, comes, goes


@settings(max_examples=amount(50, deep=400), deadline=None)
@given(availability, st.sampled_from((1, 3, 5)))
def test_packs_are_never_too_few_and_never_one_too_many(one, pack):
    assume(one.by_colour)
    early = [(0, lack.colour, lack.count) for lack in shortages_before(one, on(FIRST))]
    packs = Counter(
        {purchase.colour: purchase.packs for purchase in purchases_needed(one, on(FIRST), on(SECOND), pack)}
    )

    def keeps(tried):
        come = [(FIRST + 1, colour, tried[colour] * pack) for colour in COLOURS]
        return _can_keep(*_played(one, [*early, *come]), SECOND)

    assert keeps(packs)
    for colour in packs:
        assert not keeps(packs - Counter({colour: 1}))


@settings(max_examples=amount(30, deep=200), deadline=None)
@given(availability)
def test_nobody_could_order_fewer_packs(one):
    assume(one.by_colour)
    early = [(0, lack.colour, lack.count) for lack in shortages_before(one, on(FIRST))]
    total = sum(purchase.packs for purchase in purchases_needed(one, on(FIRST), on(SECOND), 3))
    tries = (dict(zip(COLOURS, packs, strict=True)) for packs in product(range(total + 1), repeat=3))
    for tried in (tried for tried in tries if sum(tried.values()) < total):
        come = [(FIRST + 1, colour, count * 3) for colour, count in tried.items()]
        assert not _can_keep(*_played(one, [*early, *come]), SECOND)


@settings(max_examples=amount(30, deep=200), deadline=None)
@given(availability)
def test_what_cannot_come_in_time_is_the_least_that_helps(one):
    assume(one.by_colour)
    lacks = shortages_before(one, on(FIRST))
    assert _can_keep(*_played(one, [(0, lack.colour, lack.count) for lack in lacks]), FIRST)
    for place in range(len(lacks)):
        fewer = [(0, lack.colour, lack.count - (at == place)) for at, lack in enumerate(lacks)]
        assert not _can_keep(*_played(one, fewer), FIRST)
