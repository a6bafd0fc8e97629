"""How sure a share is, and how much of a difference is more than chance.

Source of the intervals: the worked examples in R. G. Newcombe, Two-sided confidence intervals for the single
proportion, Statistics in Medicine 17 (1998), table I, without correction of continuity.
"""

import pytest
from hypothesis import given
from hypothesis.strategies import integers

from app.craft.comparing import Change, change_of_share, change_of_sum, surely_at_least


@pytest.mark.parametrize(
    ("hits", "of", "least"), [(81, 263, 0.2553), (15, 148, 0.0624), (0, 20, 0.0), (1, 29, 0.0061), (0, 0, 0.0)]
)
def test_the_lower_end_is_that_of_the_worked_examples(hits, of, least):
    assert surely_at_least(hits, of) == pytest.approx(least, abs=0.0001)


def test_few_cases_say_less_than_many():
    assert surely_at_least(1, 3) < surely_at_least(10, 30) < surely_at_least(30, 90) < 1 / 3
    assert surely_at_least(30, 90) > 4 * surely_at_least(1, 3) - 0.01


@given(integers(0, 500), integers(1, 500))
def test_it_is_a_share_and_never_more_than_what_was_seen(hits, more):
    of = hits + more
    assert 0 <= surely_at_least(hits, of) <= hits / of + 1e-12


@pytest.mark.parametrize(
    ("change", "is_one"),
    [
        (change_of_sum(130, 100, 230), True),  # 1.98 deviations
        (change_of_sum(127, 100, 227), False),
        (change_of_sum(1, 3, 4), False),
        (change_of_sum(0, 0, 0), False),
        (change_of_sum(10_500, 10_000, 20_500), False),  # sure, but less than a tenth
        (change_of_share((30, 100), (10, 100)), True),
        (change_of_share((2, 10), (1, 10)), False),
        (change_of_share((5, 5), (0, 0)), False),
        (change_of_share((0, 19), (90, 100)), False),
        (change_of_share((0, 20), (90, 100)), True),
        (change_of_share((50, 50), (70, 70)), False),
    ],
)
def test_a_change_is_more_than_chance_and_at_least_a_tenth(change, is_one):
    assert change.is_one is is_one


@given(integers(0, 300), integers(0, 300))
def test_what_rose_one_way_fell_the_other(now, before):
    one, other = change_of_sum(now, before, now + before), change_of_sum(before, now, now + before)
    assert one.strength == -other.strength
    assert Change(now, now, 0.0).is_one is False
