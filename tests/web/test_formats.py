"""How pages show hours, money, sizes and warmth."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.web.formats import Formats

PLAIN = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)
TWELVE = replace(PLAIN, twelve_hours=True)
SATURDAY = date(2026, 11, 21)


def _utc(*parts):
    return datetime(*parts, tzinfo=UTC)


@pytest.mark.parametrize(
    ("hour", "minute", "plain", "twelve"),
    [
        (0, 0, "00:00", "12:00 am"),
        (9, 5, "09:05", "9:05 am"),
        (12, 0, "12:00", "12:00 pm"),
        (23, 59, "23:59", "11:59 pm"),
    ],
)
def test_hours_are_shown_on_the_shops_clock(hour, minute, plain, twelve):
    moment = _utc(2026, 11, 21, hour, minute)
    assert (PLAIN.clock(moment), TWELVE.clock(moment)) == (plain, twelve)


def test_summer_hours_are_local():
    assert PLAIN.clock(_utc(2026, 6, 21, 7)) == "08:00"


def test_an_hour_that_the_clocks_show_twice_names_its_zone():
    assert PLAIN.clock(_utc(2026, 10, 25, 0, 30)) == "01:30 BST"
    assert PLAIN.clock(_utc(2026, 10, 25, 1, 30)) == "01:30 GMT"


@pytest.mark.parametrize("moment", [_utc(2027, 3, 28, 0, 59), _utc(2027, 3, 28, 1), _utc(2027, 3, 28, 1, 30)])
def test_an_hour_beside_a_skipped_one_is_just_an_hour(moment):
    assert " " not in PLAIN.clock(moment)


@pytest.mark.parametrize(
    ("moment", "shown"),
    [
        (_utc(2026, 11, 21, 14), "14:00"),
        (_utc(2026, 11, 22, 2), "Sun 02:00"),
        (_utc(2026, 11, 18, 2), "Wed 02:00"),
        (_utc(2026, 11, 28, 2), "28 Nov 02:00"),
    ],
)
def test_another_day_is_named_beside_the_hour(moment, shown):
    assert PLAIN.short_moment(moment, SATURDAY) == shown


@pytest.mark.parametrize(
    ("minor", "decimals", "shown", "typed"),
    [
        (0, 2, "£0.00", "0.00"),
        (5, 2, "£0.05", "0.05"),
        (123_456_789, 2, "£1,234,567.89", "1234567.89"),
        (1234, 0, "£1,234", "1234"),
        (1234, 3, "£1.234", "1.234"),
        (-250, 2, "−£2.50", "-2.50"),
    ],
)
def test_money_has_the_currencys_digits(minor, decimals, shown, typed):
    formats = replace(PLAIN, decimals=decimals)
    assert (formats.money(minor), formats.amount(minor)) == (shown, typed)


def test_sizes_and_warmth_are_shown_in_the_shops_units():
    other = replace(PLAIN, fahrenheit=True, centimetres=True)
    assert (PLAIN.size(10.95), other.size(11.0)) == ("10.95 in", "27.9 cm")
    assert (PLAIN.temperature(21.5), other.temperature(20.0)) == ("21.5 °C", "68 °F")


@pytest.mark.parametrize(
    ("grams", "shown"),
    [(9, "9 g"), (96.2, "97 g"), (999, "999 g"), (1000, "1 kg"), (1001, "1.1 kg"), (2720, "2.8 kg")],
)
def test_a_weight_is_shown_rounded_up(grams, shown):
    assert PLAIN.grams(grams) == shown


def test_a_wind_is_shown_as_it_was_told():
    assert (PLAIN.wind(5.0), PLAIN.wind(5.4)) == ("5 m/s", "5.4 m/s")


@pytest.mark.parametrize("fahrenheit", range(-4, 123))
def test_degrees_that_were_typed_are_shown_again(fahrenheit):
    other = replace(PLAIN, fahrenheit=True)
    saved = round(other.celsius_of(float(fahrenheit)), 2)
    assert other.shown_temperature(saved) == fahrenheit


@pytest.mark.parametrize(
    ("minutes", "shown"), [(0, "0 min"), (59, "59 min"), (60, "1 h 00 min"), (125, "2 h 05 min")]
)
def test_minutes_become_hours(minutes, shown):
    assert PLAIN.minutes(minutes) == shown
    assert PLAIN.duration(timedelta(minutes=-minutes)) == shown


def test_short_times_have_a_tenth_of_a_second():
    assert [PLAIN.seconds(s) for s in (0.36, 3.8, 9.94, 9.96, 133.2)] == [
        "0.4 s",
        "3.8 s",
        "9.9 s",
        "10 s",
        "133 s",
    ]


def test_a_size_typed_in_the_shops_unit_is_inches_inside():
    metric = replace(PLAIN, centimetres=True)
    assert (PLAIN.shown_size(11), PLAIN.inches_of(11), PLAIN.size_unit) == (11, 11, "in")
    assert (metric.shown_size(11), metric.size_unit) == (27.9, "cm")
    assert metric.inches_of(27.94) == pytest.approx(11)


@pytest.mark.parametrize(
    ("minor", "count", "shown"),
    [
        (100, 100, "£0.01"),
        (360, 450, "£0.008"),
        (2150, 700, "£0.0307"),
        (850, 100, "£0.085"),
        (980, 5, "£1.96"),
        (12000, 0.5, "£240.00"),
        (0, 100, "£0.00"),
        (1, 1000, "under £0.0001"),
        (5, 1000, "£0.0001"),
    ],
)
def test_what_one_costs_is_shown_finer_where_it_is_no_whole_penny(minor, count, shown):
    assert PLAIN.money_each(minor, count) == shown


@pytest.mark.parametrize(("minor", "shown"), [(850, "¥8.5"), (800, "¥8"), (833, "¥8.33")])
def test_so_it_is_in_a_currency_without_parts(minor, shown):
    assert replace(PLAIN, currency="¥", decimals=0).money_each(minor, 100) == shown
