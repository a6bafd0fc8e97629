"""How pages show times, dates, numbers, money and measures. Dates and numbers are compared with Unicode CLDR as
Babel has it, asked here in full and not by the patterns that the pages remember."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import babel.dates
import babel.numbers
import pytest
from babel import Locale

from app.planning.opening import Opening
from app.quoting.settings.all_settings import LOCALES
from app.quoting.shop import DEFAULT_VALUES, build_shop
from app.web import locales
from app.web.formats import NO_BREAK_SPACE, Formats
from app.web.forms.reading import read_money, read_number
from app.web.forms.separators import plain_number
from app.web.measures import kept_value

PLAIN = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)
TWELVE = replace(PLAIN, twelve_hours=True)
AMERICAN = replace(TWELVE, locale="en_US", currency="$", fahrenheit=True, imperial=True)
GERMAN = replace(PLAIN, locale="en_DE", currency="€", centimetres=True)
COMPARED = ("en_GB", "en_US", "en_DE")
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
        (_utc(2026, 11, 24, 2), "Tue 02:00"),
        (_utc(2026, 11, 25, 2), "Wed 25 Nov, 02:00"),
        (_utc(2026, 11, 28, 2), "Sat 28 Nov, 02:00"),
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
    [
        (9, "9 g"),
        (96.2, "97 g"),
        (999, "999 g"),
        (999.5, "1 kg"),
        (1000, "1 kg"),
        (1001, "1.1 kg"),
        (2720, "2.8 kg"),
    ],
)
def test_a_weight_is_shown_rounded_up(grams, shown):
    assert PLAIN.grams(grams) == shown


@pytest.mark.parametrize(
    ("grams", "shown"),
    [
        (97, "3.5 oz"),
        (28.349523125, "1 oz"),
        (28.4, "1.1 oz"),
        (450.75, "15.9 oz"),
        (453.59237, "1 lb"),
        (453.6, "1.1 lb"),
        (1080, "2.4 lb"),
        (1100, "2.5 lb"),
    ],
)
def test_so_it_is_in_ounces_and_pounds(grams, shown):
    """An international pound is 453.59237 g exactly, and 16 ounces."""
    assert AMERICAN.grams(grams) == shown


@pytest.mark.parametrize(
    ("cm", "metric", "imperial"),
    [
        (85, "85 cm", "33.5 in"),
        (2.54, "3 cm", "1 in"),
        (199, "199 cm", "78.3 in"),
        (220, "2.2 m", "7 ft 3 in"),
        (243.84, "2.44 m", "8 ft"),
        (243.5, "2.44 m", "8 ft"),
    ],
)
def test_a_length_follows_the_shops_measures(cm, metric, imperial):
    assert (PLAIN.length(cm), AMERICAN.length(cm)) == (metric, imperial)


def test_a_wind_is_shown_as_it_was_typed():
    assert (PLAIN.wind(5.0), PLAIN.wind(5.4)) == ("5 m/s", "5.4 m/s")


def test_a_wind_in_miles_per_hour_is_shown_again():
    """Winds are saved to a tenth of a metre per second."""
    for mph in range(90):
        assert AMERICAN.wind(round(mph * 0.44704, 1)) == f"{mph} mph"


def test_degrees_that_were_typed_are_shown_again():
    other = replace(PLAIN, fahrenheit=True)
    for fahrenheit in range(-4, 123):
        saved = kept_value(str(fahrenheit), other.unit("°C"))
        assert saved == pytest.approx((fahrenheit - 32) / 1.8, abs=0.03)
        assert other.temperature(saved) == f"{fahrenheit} °F"


@pytest.mark.parametrize(("minutes", "shown"), [(0, "0 min"), (59, "59 min"), (60, "1 h"), (125, "2 h 05 min")])
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


@pytest.mark.parametrize("code", LOCALES)
def test_every_locale_of_the_setting_is_one_of_cldrs(code):
    locale = Locale.parse(code)
    assert locale.language == "en"
    assert locale.datetime_skeletons["MMMEd"].pattern.startswith("E"), "the weekday stands first"
    assert locales.country_names((code,)) == {code: locale.english_name.partition("(")[2].rstrip(")")}


def test_dates_stand_in_the_locales_order():
    moment = _utc(2026, 11, 21, 14, 30)
    assert (PLAIN.moment(moment), AMERICAN.moment(moment)) == ("Sat 21 Nov, 14:30", "Sat, Nov 21, 2:30 PM")
    assert (PLAIN.day(SATURDAY), AMERICAN.day(SATURDAY)) == (
        "Saturday 21 November 2026",
        "Saturday, November 21, 2026",
    )
    assert (PLAIN.day_with_year(moment), AMERICAN.day_with_year(moment)) == ("Sat 21 Nov 2026", "Sat, Nov 21, 2026")


@pytest.mark.parametrize("code", COMPARED)
@pytest.mark.parametrize("day", [date(2026, month, 4 * month - 3) for month in range(1, 8)])
def test_dates_are_cldrs(code, day):
    formats, noon = replace(PLAIN, locale=code), datetime.combine(day, datetime.min.time(), UTC)
    short = babel.dates.format_skeleton("MMMEd", noon, locale=code)
    assert formats.short_date(day) == formats.short_day(noon) == short
    assert formats.day_of_week(day) == babel.dates.format_skeleton("Ed", noon, locale=code)
    assert _letters(formats.day(day)) == _letters(babel.dates.format_date(day, "full", locale=code))
    with_year = babel.dates.format_skeleton("yMMMEd", noon, locale=code)
    assert _letters(formats.day_with_year(noon)) == _letters(with_year)


def _letters(text):
    """Without commas: CLDR has one after the weekday in some patterns of British dates only; pages have it in all
    dates of a locale or in none."""
    return text.replace(",", "")


@pytest.mark.parametrize("code", [*COMPARED, "en_FI"])
@pytest.mark.parametrize("hour", [0, 7, 12, 23])
def test_times_are_cldrs(code, hour):
    moment = _utc(2026, 11, 21, hour, 5)
    for skeleton, twelve in (("Hm", False), ("hm", True)):
        expected = babel.dates.format_skeleton(skeleton, moment, locale=code).replace("\u202f", " ")
        assert replace(PLAIN, locale=code, twelve_hours=twelve).clock(moment) == expected


@pytest.mark.parametrize("code", COMPARED)
@pytest.mark.parametrize("minor", [0, 5, 1250, 123_456_789, -250])
def test_prices_are_cldrs(code, minor):
    expected = babel.numbers.format_currency(minor / 100, "GBP", locale=code).replace("-", "−")
    assert replace(PLAIN, locale=code).money(minor) == expected


@pytest.mark.parametrize("code", [*COMPARED, "en_IN", "en_SE"])
@pytest.mark.parametrize("value", [0, 0.5, 12.25, 1234.5, 1_234_567.875, -5.5])
def test_numbers_are_cldrs(code, value):
    assert replace(PLAIN, locale=code).number(value, 3) == babel.numbers.format_decimal(value, locale=code)


@pytest.mark.parametrize("code", COMPARED)
@pytest.mark.parametrize(
    ("share", "whole"), [(0, 0), (0.919, 91), (0.92, 92), (0.9999, 99), (1, 100), (0.29, 29), (0.57, 57)]
)
def test_a_chance_is_a_whole_percentage_rounded_down(code, share, whole):
    assert replace(PLAIN, locale=code).percent(share) == babel.numbers.format_percent(whole / 100, locale=code)


def test_a_shop_with_a_decimal_comma_has_it_everywhere():
    assert (GERMAN.money(123_450), GERMAN.money(-250)) == ("1.234,50\xa0€", "−2,50\xa0€")
    assert (GERMAN.money_each(2150, 700), GERMAN.money_each(850, 100)) == ("0,0307\xa0€", "0,085\xa0€")
    assert (GERMAN.size(11), GERMAN.temperature(21.5), GERMAN.wind(5.4)) == ("27,9 cm", "21,5 °C", "5,4 m/s")
    assert (GERMAN.grams(1100), GERMAN.length(220), GERMAN.seconds(3.8)) == ("1,1 kg", "2,2 m", "3,8 s")


def test_an_amount_is_typed_with_the_locales_mark_and_a_table_has_a_point():
    assert (GERMAN.amount(123_450), GERMAN.table_amount(123_450)) == ("1234,50", "1234.50")
    assert (GERMAN.amount(None), GERMAN.table_amount(None)) == ("", "")


@pytest.mark.parametrize("code", LOCALES)
@pytest.mark.parametrize("minor", [0, 5, 1250, 123_456_789])
def test_an_amount_is_read_as_it_is_shown_in_its_field(code, minor):
    assert read_money(replace(PLAIN, locale=code).amount(minor), 2) == minor


@pytest.mark.parametrize("code", LOCALES)
@pytest.mark.parametrize("value", [0.125, 1.125, 14.625, 200, 1500, -3.5])
def test_a_number_is_read_as_it_is_shown_in_its_field(code, value):
    formats = replace(PLAIN, locale=code)
    assert float(plain_number(formats.typed_number(value), formats.decimal_mark)) == value


@pytest.mark.parametrize("text", ["12.5", "12,5", " 12,5 ", "12,5 cm"])
def test_a_number_is_typed_with_a_point_or_a_comma(text):
    assert read_number(text, 0, 100, "cm") == 12.5


@pytest.mark.parametrize("text", ["12.50", "12,50", "12,5"])
def test_so_is_an_amount(text):
    assert read_money(text, 2) == 1250


@pytest.mark.parametrize(("symbol", "shown"), [("CHF", "CHF\xa012.50"), ("Fr.", "Fr.12.50"), ("$", "$12.50")])
def test_a_currency_in_letters_stands_apart(symbol, shown):
    """CLDR's currencySpacing."""
    assert replace(PLAIN, currency=symbol).money(1250) == shown


@pytest.mark.parametrize(
    ("hours", "shown"),
    [
        (0.5, "0.5 h"),
        (7.5, "7.5 h"),
        (9, "9 h"),
        (15.0, "15 h"),
        (15.2, "15.2 h"),
        (95, "95 h"),
        (96, "4 days"),
        (132, "5.5 days"),
        (144, "6 days"),
        (30.4, "30 h"),
        (500, "20.8 days"),
    ],
)
def test_a_rough_time_has_no_idle_decimals(hours, shown):
    assert PLAIN.hours(hours) == shown


def test_a_number_is_never_minus_nought():
    assert [PLAIN.number(value, digits) for value, digits in ((-0.4, 0), (-0.04, 1), (-0.5, 1))] == [
        "0",
        "0",
        "-0.5",
    ]


def test_a_shop_as_it_is_set_up_reads_as_british():
    shop = build_shop(DEFAULT_VALUES, Opening(ZoneInfo("UTC"), {}))
    assert Formats.of(shop) == Formats(ZoneInfo("UTC"), False, False, False, "$", 2, locales.DEFAULT)
    assert LOCALES[0] == locales.DEFAULT


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, "1.96 m high, 45 cm wide, at least 127 g in 5 m/s; 11 in latex"),
        ({"locale": "en_DE"}, "1,96 m high, 45 cm wide, at least 127 g in 5 m/s; 11 in latex"),
        ({"imperial": True}, "77.2 in high, 17.7 in wide, at least 4.5 oz in 11 mph; 11 in latex"),
        ({"centimetres": True}, "1.96 m high, 45 cm wide, at least 127 g in 5 m/s; 11 in latex"),
    ],
)
def test_a_sentence_of_craft_is_shown_in_the_shops_units(changes, said):
    """1 in is 2.54 cm, 1 oz 28.349523 g, 1 mph 0.44704 m/s exactly (NIST Handbook 44, Appendix C, from memory)."""
    formats = replace(PLAIN, **changes)
    assert formats.in_shop_units(_measured("1.96~m high, 45~cm wide, at least 127~g in 5~m/s; 11 in latex")) == said


def test_a_sentence_of_craft_has_more_than_999_g_in_kg_rounded_up():
    assert PLAIN.in_shop_units(_measured("at least 1372~g, 999~g")) == "at least 1.4 kg, 999 g"


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, "below the rated 11 in of 11 in latex, weight 80 g, 0.5 g/m, 20 per m"),
        ({"centimetres": True}, "below the rated 27.9 cm of 11 in latex, weight 80 g, 0.5 g/m, 20 per m"),
        ({"imperial": True}, "below the rated 11 in of 11 in latex, weight 80 g, 0.54 oz/100 ft, 6.1 per ft"),
    ],
)
def test_sizes_and_amounts_by_length_are_converted_but_names_are_not(changes, said):
    """A balloon type and a supply are named by what is printed on them, with a plain blank before the unit."""
    sentence = _measured("below the rated 11~in of 11 in latex, weight 80 g, 0.5~g/m, 20~per m")
    assert replace(PLAIN, **changes).in_shop_units(sentence) == said


def _measured(sentence):
    return sentence.replace("~", NO_BREAK_SPACE)


def test_what_was_weighed_is_rounded_to_the_nearest():
    assert [PLAIN.weighed(2.964, 2), replace(PLAIN, imperial=True).weighed(2.964, 2)] == ["2.96 g", "0.105 oz"]


@pytest.mark.parametrize(
    ("changes", "is_first"),
    [({}, True), ({"currency": "CHF"}, True), ({"locale": "en_DE", "currency": "€"}, False)],
)
def test_the_currency_stands_on_the_same_side_in_a_price_and_beside_a_field(changes, is_first):
    formats = replace(PLAIN, **changes)
    assert formats.currency_first is is_first is formats.money(1250).startswith(formats.currency)


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"zone": ZoneInfo("America/New_York")}, "07:30"),
        ({"twelve_hours": True}, "12:30 pm"),
        ({"locale": "en_FI"}, "12.30"),
    ],
)
def test_a_time_that_was_shown_before_is_shown_as_other_settings_have_it(change, text):
    moment = datetime(2026, 11, 21, 12, 30, tzinfo=UTC)
    plain = Formats(ZoneInfo("UTC"), False, False, False, "£", 2)
    assert plain.clock(moment) == "12:30"
    assert replace(plain, **change).clock(moment) == text
    assert replace(plain, **change).clock(moment + timedelta(minutes=1)) == text.replace("30", "31")
