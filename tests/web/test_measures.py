"""Measures typed in a shop's units: kept in metric units, and the same again when they are sent back unchanged."""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.web.measures import OTHER_UNITS, ShownUnit, kept_value, shown_range, typed_value

METRIC = ShownUnit("cm")
DECIMALS = st.decimals(min_value="-5000", max_value="50000", places=3).map(float)


@pytest.mark.parametrize(
    ("unit", "typed", "kept"),
    [
        ("cm", "10", 25.4),
        ("m", "10", 3.048),
        ("g", "1", 28.35),
        ("g", "16", 453.6),
        ("m/s", "10", 4.47),
        ("g/m", "0.5376", 0.5),
        ("per m", "6.1", 20.01),
        ("m", "1148", 350.0),
        ("m", "-10", -3.048),
        ("cm", "0", 0.0),
        *(("°C", "68", 20.0), ("°C", "32", 0.0), ("°C", "-40", -40.0), ("°C", "70", 21.11)),
        *(("in", "27.94", 11.0), ("h/g", "683", 24.1)),
    ],
)
def test_a_typed_number_is_kept_in_metric_units(unit, typed, kept):
    """1 in is 2.54 cm, 1 ft 0.3048 m, 1 oz 28.349523 g, 1 mph 0.44704 m/s (NIST Handbook 44, Appendix C, from
    memory). What is kept has as few digits as are within half of the last typed digit and a two-thousandth."""
    assert kept_value(typed, OTHER_UNITS[unit]) == kept


@pytest.mark.parametrize(
    ("unit", "kept", "typed"),
    [
        *(("cm", 30.0, "11.81"), ("cm", 25.4, "10"), ("m", 1.5, "4.92"), ("m", 350.0, "1148")),
        *(("g", 3.0, "0.1058"), ("g", 28.35, "1"), ("g/m", 0.5, "0.5376"), ("per m", 20.0, "6.096")),
        ("m", 0.0, "0"),
    ],
)
def test_a_kept_value_is_typed_with_the_fewest_decimals(unit, kept, typed):
    assert typed_value(kept, OTHER_UNITS[unit]) == typed


@given(unit=st.sampled_from(sorted(OTHER_UNITS)), kept=DECIMALS)
def test_what_is_sent_back_unchanged_is_the_same_value(unit, kept):
    assert kept_value(typed_value(kept, OTHER_UNITS[unit]), OTHER_UNITS[unit]) == kept


@given(unit=st.sampled_from(sorted(OTHER_UNITS)), shown=DECIMALS)
def test_what_was_typed_and_saved_stays_the_same_ever_after(unit, shown):
    kept = kept_value(f"{shown:g}", OTHER_UNITS[unit])
    assert math.isclose(kept, OTHER_UNITS[unit].kept(float(f"{shown:g}")), rel_tol=5e-4)
    assert kept_value(typed_value(kept, OTHER_UNITS[unit]), OTHER_UNITS[unit]) == kept


@pytest.mark.parametrize("text", ["", "ten", "1.2.3"])
def test_what_is_no_number_is_refused(text):
    with pytest.raises(ValueError, match="float"):
        kept_value(text, OTHER_UNITS["cm"])


@pytest.mark.parametrize("text", ["nan", "inf"])
def test_what_is_no_finite_number_stays_so(text):
    assert not math.isfinite(kept_value(text, OTHER_UNITS["cm"]))


@given(
    unit=st.sampled_from(sorted(OTHER_UNITS)),
    low=st.decimals("0.01", 100, places=2).map(float),
    span=st.decimals("0.1", 50_000, places=1).map(float),
)
@example(unit="cm", low=5.44, span=54.4)  # 65.28 cm: 25.7 in would be read as 65.3 cm
def test_the_ends_of_a_range_can_be_typed(unit, low, span):
    high = round(low * 2 + span, 2)
    for end in shown_range(low, high, OTHER_UNITS[unit]):
        assert low <= kept_value(f"{end:g}", OTHER_UNITS[unit]) <= high


def test_a_shop_in_metric_units_types_what_is_kept():
    assert (typed_value(2.5, METRIC), kept_value("2.5", METRIC), shown_range(1, 3, METRIC)) == ("2.5", 2.5, (1, 3))
