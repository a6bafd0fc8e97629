"""Garlands: whole balloons of each size that add up."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.garland import Fullness, GarlandDefaults, Mix, garland, largest_remainders

lengths = st.floats(0.3, 100.0)
densities = st.one_of(st.sampled_from(Fullness), st.floats(1.0, 200.0))
shares = st.lists(st.floats(0.01, 10.0), min_size=1, max_size=8).map(tuple)


def test_it_works():
    """Source: by hand: 2.5 m of 30 are 75; 30, 15, 22.5 and 7.5, and of equal remainders the first gains."""
    piece = garland(2.5, defaults=GarlandDefaults(mix=Mix(((5, 4), (9, 2), (11, 3), (16, 1)))))
    assert piece.counts == ((5, 30), (9, 15), (11, 23), (16, 7))
    assert piece.balloons == 75


def test_fullness_is_a_setting():
    assert [garland(2, fullness).balloons for fullness in Fullness] == [40, 60, 90]
    assert garland(2, Fullness.LIGHT, GarlandDefaults(light=25)).balloons == 50
    assert garland(2.01, 10.0).balloons == 21


@given(lengths, densities)
def test_counts_add_up_to_the_length_by_the_fullness(length, density):
    piece = garland(length, density)
    per_metre = GarlandDefaults().per_metre(density) if isinstance(density, Fullness) else density
    assert sum(count for _, count in piece.counts) == piece.balloons
    assert -1e-6 <= piece.balloons - length * per_metre < 1


@given(lengths, lengths, densities)
def test_a_longer_garland_never_needs_fewer(one, other, density):
    short, long = (garland(length, density).balloons for length in sorted([one, other]))
    assert short <= long


@given(st.integers(0, 5000), shares)
def test_remainders_add_up_and_none_is_off_by_a_whole_one(total, parts):
    counts = largest_remainders(total, parts)
    assert sum(counts) == total
    assert all(abs(count - total * part / sum(parts)) < 1 + 1e-9 for count, part in zip(counts, parts, strict=True))


def test_one_more_may_take_one_from_a_size():
    """Source: the Alabama paradox of Hamilton's method, 6 : 6 : 2 with 10 and 11 seats (textbook, from memory)."""
    assert largest_remainders(10, (6, 6, 2)) == (4, 4, 2)
    assert largest_remainders(11, (6, 6, 2)) == (5, 5, 1)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: garland(0.2), "outside 0.3\u00a0m to 100\u00a0m"),
        (lambda: garland(2, 0.5), "outside 1 to 200"),
        (lambda: GarlandDefaults(full=500), "outside 1 to 200"),
        (lambda: Mix(()), "outside 1 to 8"),
        (lambda: Mix(((5, 1), (5, 2))), "twice"),
        (lambda: Mix(((5, 0),)), r"\b0 .*5\u00a0in"),
        (lambda: Mix(((2, 1),)), "outside 3\u00a0in to 40\u00a0in"),
    ],
)
def test_what_is_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()
