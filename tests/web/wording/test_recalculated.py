"""What the office says once open orders are recalculated."""

import pytest

from app.actions.shop.office import WorseOrder
from app.planning.window import Verdict
from app.web.wording.recalculated import MOST_NUMBERS, effect_sentences, recalculated_sentences, worse_sentence


def test_the_change_comes_first_then_each_order_that_got_worse():
    worse = [WorseOrder(1007, Verdict.SAFE, Verdict.RISKY), WorseOrder(1009, Verdict.RISKY, Verdict.WONT_LAST)]
    assert recalculated_sentences("Settings saved.", worse) == (
        "Settings saved. All open orders recalculated.",
        "Order 1007 is now risky: call the customer.",
        "Order 1009 now won't last: call the customer.",
    )


def test_of_very_many_orders_one_sentence_names_each_way_in_which_they_got_worse():
    worse = [WorseOrder(number, Verdict.SAFE, Verdict.RISKY) for number in range(1, MOST_NUMBERS + 2)]
    first, which, call = recalculated_sentences("Settings saved.", worse)
    assert first == "Settings saved. All open orders recalculated."
    assert which == effect_sentences(worse, 21)[0]
    assert call == "Call these customers."


def test_no_order_is_named_if_none_got_worse():
    assert recalculated_sentences("Opening hours saved.", [], is_any_open=False) == ("Opening hours saved.",)
    assert recalculated_sentences("Opening hours saved.", []) == (
        "Opening hours saved. All open orders recalculated.",
    )


def test_an_order_that_can_no_longer_be_made_has_its_reason():
    order = WorseOrder(1007, Verdict.SAFE, Verdict.WONT_LAST, "11 in latex does not rise.")
    assert worse_sentence(order) == (
        "Order 1007 can no longer be made: call the customer. 11 in latex does not rise."
    )


def test_an_order_that_the_bench_can_no_longer_make_says_only_that():
    assert worse_sentence(WorseOrder(1007, Verdict.SAFE, Verdict.SAFE, became_late=True)) == (
        "Order 1007 can no longer be ready in time: call the customer."
    )


def test_an_order_with_both_says_both():
    assert worse_sentence(WorseOrder(1007, Verdict.SAFE, Verdict.RISKY, became_late=True)) == (
        "Order 1007 is now risky and can no longer be ready in time: call the customer."
    )


@pytest.mark.parametrize("verdict", [Verdict.RISKY, Verdict.WONT_LAST])
def test_every_worse_verdict_has_words(verdict):
    assert worse_sentence(WorseOrder(1, Verdict.SAFE, verdict)).startswith("Order 1 ")


def test_before_a_change_the_orders_are_counted_by_what_becomes_of_them():
    worse = [
        WorseOrder(1004, Verdict.SAFE, Verdict.RISKY),
        WorseOrder(1007, Verdict.SAFE, Verdict.RISKY, became_late=True),
        WorseOrder(1010, Verdict.RISKY, Verdict.WONT_LAST),
        WorseOrder(1011, Verdict.SAFE, Verdict.WONT_LAST, "11 in latex does not rise."),
    ]
    assert effect_sentences(worse, 9) == (
        "2 open orders become risky: 1004, 1007.",
        "1 open order won't last: 1010.",
        "1 open order can no longer be ready in time: 1007.",
        "1 open order can no longer be made: 1011.",
        "11 in latex does not rise.",
    )


def test_of_very_many_orders_only_the_first_are_named():
    worse = [WorseOrder(number, Verdict.SAFE, Verdict.RISKY) for number in range(1, MOST_NUMBERS + 2)]
    (sentence,) = effect_sentences(worse, 50)
    assert sentence.startswith("21 open orders become risky: 1, 2, ")
    assert sentence.endswith(", 20, ….")


@pytest.mark.parametrize(
    ("checked", "sentence"),
    [
        (0, "There are no open orders."),
        (1, "The open order does not get worse."),
        (3, "None of the 3 open orders gets worse."),
    ],
)
def test_before_a_change_that_makes_nothing_worse_one_line_says_so(checked, sentence):
    assert effect_sentences([], checked) == (sentence,)
