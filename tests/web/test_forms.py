"""Hours, numbers and amounts as people write them."""

import pytest
from wtforms.validators import ValidationError

from app.web.forms import read_hour, read_money, read_number, read_whole, read_wind


@pytest.mark.parametrize(
    ("typed", "hour"),
    [
        ("18:30", (18, 30)), ("1830", (18, 30)), ("18.30", (18, 30)), ("18h30", (18, 30)), ("18", (18, 0)),
        ("8", (8, 0)),
        ("6:30 pm", (18, 30)), ("6.30PM", (18, 30)), ("6 p.m.", (18, 0)), ("12 am", (0, 0)), ("12 pm", (12, 0)),
        ("noon", (12, 0)), ("Midnight", (24, 0)), ("24:00", (24, 0)), ("0", (0, 0)), (" 7:05 ", (7, 5)),
    ],
)  # fmt: skip
def test_an_hour_is_read(typed, hour):
    assert read_hour(typed) == hour


@pytest.mark.parametrize(
    "typed", ["", "25", "24:01", "18:60", "13 pm", "0 pm", "6:3", "half six", "-1", "1:2:3", "99999", "６時"]
)
def test_what_is_no_hour_is_none(typed):
    assert read_hour(typed) is None


@pytest.mark.parametrize(("typed", "number"), [("20", 20.0), ("-3.5", -3.5), ("−3,5", -3.5), ("20 °C", 20.0)])
def test_a_number_is_read(typed, number):
    assert read_number(typed, -20, 50, "°C") == number


@pytest.mark.parametrize("typed", ["", "warm", "nan", "inf", "-inf", "51", "-20.01", "1e999", "20 °F"])
def test_a_number_out_of_range_or_none_has_a_sentence_with_the_range(typed):
    with pytest.raises(ValidationError, match="-20 to 50 °C"):
        read_number(typed, -20, 50, "°C")


@pytest.mark.parametrize(
    ("typed", "m_s"),
    [("5", 5.0), ("5,5 m/s", 5.5), ("18 km/h", 5.0), ("12 mph", 5.4), ("12MPH", 5.4), ("10 kn", 5.1),
     ("10 knots", 5.1), ("20 kmh", 5.6), ("20kph", 5.6), ("15 kt", 7.7), ("15 KTS", 7.7),
     ("0", 0.0), ("40", 40.0), ("144 km/h", 40.0)],
)  # fmt: skip
def test_a_wind_is_read_in_the_unit_that_is_written_with_it(typed, m_s):
    """Source: the mile is 1609.344 m, the nautical mile 1852 m, both exact by definition."""
    assert read_wind(typed) == m_s


@pytest.mark.parametrize(
    "typed", ["", "calm", "-1", "40.1", "nan", "3 bft", "145 km/h", "90 mph", "mph", "5 m/s m/s"]
)
def test_what_is_no_wind_has_a_sentence_with_the_range(typed):
    with pytest.raises(ValidationError, match=r": 0 to (40 m/s|144 km/h|89 mph)\."):
        read_wind(typed)


def test_what_is_no_wind_hears_of_the_units():
    with pytest.raises(ValidationError, match=r"km/h, mph and knots are written with it"):
        read_wind("a breeze")


@pytest.mark.parametrize("typed", ["4 bft", "4bft", "4 Beaufort", "force 4"])
def test_beaufort_is_not_taken_and_hears_so(typed):
    with pytest.raises(ValidationError, match=r"Beaufort is not taken: ask for the speed\."):
        read_wind(typed)


@pytest.mark.parametrize(("typed", "number"), [("12", 12), (" 1 200 ", 1200), ("007", 7)])
def test_a_whole_number_is_read(typed, number):
    assert read_whole(typed, 1, 5000, "How many") == number


@pytest.mark.parametrize("typed", ["", "0", "-1", "1.5", "5001", "1e3", "dozen", "1_000", "9" * 5000])
def test_what_is_no_whole_number_in_range_has_a_sentence(typed):
    with pytest.raises(ValidationError, match=r"How many: .*from 1 to 5000"):
        read_whole(typed, 1, 5000, "How many")


@pytest.mark.parametrize(
    ("typed", "decimals", "minor"),
    [("4.50", 2, 450), ("4,5", 2, 450), ("4", 2, 400), ("450", 0, 450), ("0.125", 3, 125)],
)
def test_an_amount_is_read_to_the_minor_unit(typed, decimals, minor):
    assert read_money(typed, decimals) == minor


@pytest.mark.parametrize(
    ("typed", "decimals"),
    [("", 2), ("-1", 2), ("4.505", 2), ("4.5", 0), ("free", 2), ("1e3", 2), ("12345678", 2), ("Infinity", 2)],
)
def test_what_is_no_amount_has_a_sentence(typed, decimals):
    with pytest.raises(ValidationError, match="amount"):
        read_money(typed, decimals)
