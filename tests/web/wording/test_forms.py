"""What a form says about a field that is wrong."""

import pytest

from app.web.wording.forms import (
    ask_about_past_date,
    ask_which_is_month,
    choose_from,
    describe_missing_day,
    describe_missing_month,
    describe_range,
    describe_read_date,
    describe_skipped_time,
    describe_time_shown_twice,
    describe_wrong_weekday,
    enter_amount,
    enter_both_times,
    enter_both_times_or_none,
    enter_date,
    enter_number,
    enter_pressure,
    enter_whole,
    enter_wind,
    enter_without_separators,
    shorten_to,
)


def test_a_number_is_asked_for_with_its_range_and_unit():
    assert describe_range(0.5, 50, "g") == "0.5 to 50 g"
    assert enter_number(1, 100, "in") == "Enter a number from 1 to 100 in."
    assert enter_number(0.01, 1_000_000) == "Enter a number from 0.01 to 1000000."
    assert enter_whole(1, 9) == "Enter a whole number from 1 to 9."


def test_a_number_with_unclear_marks_is_asked_for_as_the_country_writes_it():
    assert enter_without_separators(",") == (
        "Enter this number without thousands separators, for example 1500 or 1500,50."
    )


def test_a_date_that_cannot_be_read_is_asked_for_in_the_order_of_the_country():
    assert enter_date("11/28") == "Enter a date, for example 11/28, 28 Nov, Sat or tomorrow."


def test_a_date_that_is_none_is_named():
    assert describe_missing_day(31, "February") == "There is no 31 February. Check the date."
    assert describe_missing_day(29, "February", 2027) == "There is no 29 February 2027. Check the date."
    assert describe_missing_month(13, "month", "11/28") == (
        "There is no month 13. The month comes first here, for example 11/28."
    )
    assert describe_wrong_weekday("12 December 2026", "Saturday", "Friday") == (
        "12 December 2026 is a Saturday, not a Friday. Check the date."
    )


def test_a_date_with_two_meanings_is_asked_about():
    assert ask_which_is_month("3 December", "12 March") == (
        "This could be 3 December or 12 March. Enter the month as a word."
    )
    assert ask_about_past_date("12 November 2026", "12 Nov 2027") == (
        "12 November 2026 has passed. If you mean next year, enter 12 Nov 2027."
    )


@pytest.mark.parametrize(
    ("days_ahead", "is_past_usual", "words"),
    [
        (0, False, "Saturday 5 December, today"),
        (1, False, "Saturday 5 December, tomorrow"),
        (-1, False, "Saturday 5 December, yesterday"),
        (2, False, "Saturday 5 December"),
        (-2, False, "Saturday 5 December, in the past"),
        (-2, True, "Saturday 5 December"),
    ],
)
def test_a_date_that_was_read_says_how_near_it_is(days_ahead, is_past_usual, words):
    assert describe_read_date("Saturday 5 December", days_ahead, is_past_usual=is_past_usual) == words


def test_two_times_are_asked_for_with_an_example():
    assert enter_both_times(8, 12) == "Enter both times, for example 08:00 and 12:00."
    assert enter_both_times_or_none(8, 18) == (
        "Enter both times, for example 08:00 and 18:00, or leave both empty."
    )


@pytest.mark.parametrize(("decimals", "example"), [(0, "450"), (2, "4.50"), (3, "4.500")])
def test_an_amount_is_asked_for_with_the_decimals_of_the_currency(decimals, example):
    assert enter_amount(decimals) == f"Enter an amount, for example {example}."


def test_a_wind_is_asked_for_in_the_unit_that_was_typed():
    assert enter_wind(89, "mph") == "Enter a wind from 0 to 89 mph."
    in_m_s = "Enter a wind from 0 to 40 m/s. For km/h, mph or knots, add the unit, for example 20 km/h."
    assert enter_wind(40, "m/s") == in_m_s
    assert enter_wind(40, "m/s", is_beaufort=True) == f"Beaufort cannot be used here. {in_m_s}"


def test_a_pressure_that_may_be_in_psi_is_asked_for_with_its_unit():
    assert enter_pressure(350, "bar") == "Enter a pressure from 0 to 350 bar."
    maybe_psi = "Enter a pressure from 0 to 350 bar. If it is psi, enter 2200 psi."
    assert enter_pressure(350, "bar", maybe_psi="2200") == maybe_psi


def test_a_choice_names_what_can_be_chosen():
    assert choose_from(["Latex", "Foil"]) == "Choose one of these: Latex, Foil."


def test_a_long_text_is_told_how_long_it_is():
    assert shorten_to(300, 1312) == "Shorten this to 300 letters. It has 1,312."


def test_a_time_when_the_clocks_change():
    skipped = "The clocks go forward that night: there is no 02:30. Enter 03:30 or another time."
    assert describe_skipped_time("02:30", "03:30") == skipped
    assert describe_time_shown_twice("01:30") == "The clocks go back that night: 01:30 comes twice. Choose one."
