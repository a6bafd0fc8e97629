"""Dates as people type them: named days, weekdays, words and numbers in the order of the shop's country.

The order of numbers is that of Unicode CLDR, by Babel. Which weekday “sat” and “next sat” are, and when a date that
has passed is asked about, were chosen for this shop: no source.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from flask import g
from hypothesis import given
from hypothesis import strategies as st
from wtforms.validators import ValidationError

from app.actions.catalogue.seasons import describe_day
from app.quoting.settings.all_settings import LOCALES
from app.web import locales
from app.web.day_echo import day_echo
from app.web.formats import Formats
from app.web.forms.dates import DateReader, Near, read_day, written_out
from app.web.wording.forms import (
    CHECK_YEAR,
    CHOOSE_DATE,
    ENTER_DAY_OF_YEAR,
    ENTER_FULL_YEAR,
    ask_about_past_date,
    ask_which_is_month,
    describe_missing_day,
    describe_missing_month,
    describe_wrong_weekday,
    enter_date,
)

MONDAY = date(2026, 11, 30)
FORMATS = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)


def _read(text, code="en_GB", near=Near.COMING, today=MONDAY):
    return DateReader(code, today, near).read(text)


def _wrong(text, code="en_GB", **kwargs):
    with pytest.raises(ValidationError) as wrong:
        _read(text, code, **kwargs)
    return str(wrong.value)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("today", MONDAY),
        ("Tonight", MONDAY),
        (" TOMORROW ", date(2026, 12, 1)),
        ("day after tomorrow", date(2026, 12, 2)),
        ("yesterday", date(2026, 11, 29)),
        ("sat", date(2026, 12, 5)),
        ("Saturday", date(2026, 12, 5)),
        ("on saturday", date(2026, 12, 5)),
        ("this sat.", date(2026, 12, 5)),
        ("weds", date(2026, 12, 2)),
        ("thurs", date(2026, 12, 3)),
        ("mon", MONDAY),
        ("next sat", date(2026, 12, 12)),
        ("sat week", date(2026, 12, 12)),
        ("next mon", date(2026, 12, 7)),
        ("12 dec", date(2026, 12, 12)),
        ("dec 12", date(2026, 12, 12)),
        ("Sat 12 Dec", date(2026, 12, 12)),
        ("12th of December", date(2026, 12, 12)),
        ("12dec", date(2026, 12, 12)),
        ("12-Dec-26", date(2026, 12, 12)),
        ("1 sept 2027", date(2027, 9, 1)),
        ("2026 dec 12", date(2026, 12, 12)),
        ("12/12", date(2026, 12, 12)),
        ("12.12.", date(2026, 12, 12)),
        ("3/12/26", date(2026, 12, 3)),
        ("3.12.2026", date(2026, 12, 3)),
        ("sat 12/12", date(2026, 12, 12)),
        ("2026-12-12", date(2026, 12, 12)),
        ("2026/2/3", date(2026, 2, 3)),
        ("12 jan", date(2027, 1, 12)),
        ("29 feb 2028", date(2028, 2, 29)),
    ],
)
def test_a_date_is_read_as_it_is_typed(text, day):
    assert _read(text) == day


@pytest.mark.parametrize(
    ("code", "text", "day"),
    [
        ("en_GB", "3/12", date(2026, 12, 3)),
        ("en_US", "12/3", date(2026, 12, 3)),
        ("en_US", "12/13", date(2026, 12, 13)),
        ("en_US", "12/3/26", date(2026, 12, 3)),
        ("en_US", "Dec 3, 2026", date(2026, 12, 3)),
        ("en_CH", "3.12.", date(2026, 12, 3)),
        ("en_CA", "12/13", date(2026, 12, 13)),
        ("en_CA", "13/12/2026", date(2026, 12, 13)),
        ("en_ZA", "12/12", date(2026, 12, 12)),
        ("en_SE", "2026-12-03", date(2026, 12, 3)),
    ],
)
def test_numbers_are_in_the_order_of_the_country(code, text, day):
    assert _read(text, code) == day


@pytest.mark.parametrize(
    ("code", "text", "sentence"),
    [
        ("en_GB", "31 feb", describe_missing_day(31, "February")),
        ("en_GB", "31/2", describe_missing_day(31, "February")),
        ("en_GB", "31 nov 2026", describe_missing_day(31, "November")),
        ("en_GB", "0 dec", describe_missing_day(0, "December")),
        ("en_GB", "32/12/2026", describe_missing_day(32, "December")),
        ("en_GB", "29 feb", describe_missing_day(29, "February", 2027)),
        ("en_GB", "29/2/27", describe_missing_day(29, "February", 2027)),
        ("en_GB", "12/13", describe_missing_month(13, "day", "28/11")),
        ("en_US", "13/12", describe_missing_month(13, "month", "11/28")),
        ("en_GB", "2026-13-12", describe_missing_month(13, "year", "2026-11-28")),
        ("en_CA", "3/12", ask_which_is_month("3 December", "12 March")),
        ("en_CA", "3/12/2026", ask_which_is_month("3 December", "12 March")),
        ("en_CA", "3/12/26", ENTER_FULL_YEAR),
        ("en_GB", "fri 12 dec", describe_wrong_weekday("12 December 2026", "Saturday", "Friday")),
        ("en_GB", "12 nov", ask_about_past_date("12 November 2026", "12 Nov 2027")),
        ("en_GB", "0000-12-12", CHECK_YEAR),
        *(
            ("en_GB", text, enter_date("28/11"))
            for text in ("soon", "12", "dec", "next", "next 12 dec", "sat sun", "1 2 3 4", "12 dec 1", "12 xyz",
                         "ma 3", "12:30", "1812-2026", "2026", "12 dec 20266", "+3", "/", "next next sat")
        ),
        ("en_US", "soon", enter_date("11/28")),
        ("en_SE", "soon", enter_date("2026-11-28")),
    ],
)  # fmt: skip
def test_what_is_no_date_or_could_be_two_says_what_is_wrong(code, text, sentence):
    assert _wrong(text, code) == sentence


@pytest.mark.parametrize(
    ("near", "text", "day"),
    [
        (Near.PAST, "sat", date(2026, 11, 28)),
        (Near.PAST, "mon", MONDAY),
        (Near.PAST, "12 nov", date(2026, 11, 12)),
        (Near.PAST, "1 may", date(2026, 5, 1)),
        (Near.PAST, "12 dec", date(2026, 12, 12)),
        (Near.NEAREST, "12 nov", date(2026, 11, 12)),
        (Near.NEAREST, "12 dec", date(2026, 12, 12)),
        (Near.NEAREST, "1 mar", date(2027, 3, 1)),
        (Near.COMING, "30 nov", MONDAY),
        (Near.COMING, "29 aug", date(2027, 8, 29)),
    ],
)
def test_the_year_that_is_not_typed_is_the_likely_one(near, text, day):
    assert _read(text, near=near) == day


def test_a_date_is_asked_about_for_92_days_after_it():
    assert _wrong("30 aug") == ask_about_past_date("30 August 2026", "30 Aug 2027")


@given(st.sampled_from(LOCALES), st.dates(date(2000, 1, 1), date(2100, 12, 31)))
def test_a_date_that_pages_write_is_read_back_as_the_same(code, day):
    formats = replace(FORMATS, locale=code)
    for shown in (formats.short_date_with_year(day), formats.day(day), formats.typed_date(day), day.isoformat()):
        assert _read(shown, code) == day


@given(
    st.sampled_from(LOCALES),
    st.dates(date(2000, 1, 1), date(2099, 12, 31)),
    st.integers(0, 365 - 92 - 1),
)
def test_a_coming_date_that_is_written_without_its_year_is_read_back_as_the_same(code, today, ahead):
    day = today + timedelta(days=ahead)
    assert _read(replace(FORMATS, locale=code).short_date(day), code, today=today) == day


@given(st.sampled_from(LOCALES), st.dates(date(2000, 1, 1), date(2099, 12, 31)))
def test_a_date_in_the_numbers_of_the_country_is_read_back_or_asked_about(code, day):
    order = locales.date_order(code)
    text = "/".join({"d": f"{day.day}", "M": f"{day.month}", "y": f"{day.year}"}[part] for part in order)
    assert _read(text, code) == day


@given(st.sampled_from(LOCALES), st.text(max_size=20), st.dates(date(2000, 1, 1), date(2099, 12, 31)))
def test_any_text_is_a_date_or_a_sentence(code, text, today):
    try:
        found = _read(text, code, today=today)
    except ValidationError as wrong:
        found = str(wrong)
    assert found


@pytest.fixture
def on_monday(app):
    with app.test_request_context():
        g.request_context = SimpleNamespace(formats=FORMATS, now=datetime(2026, 11, 30, 9, tzinfo=UTC))
        yield
        g.pop("request_context")


@pytest.mark.usefixtures("on_monday")
def test_years_from_2000_to_2100_are_read_unless_any_may_be():
    assert read_day("1 jan 2000") == date(2000, 1, 1)
    assert read_day("1 jan 1999", any_year=True) == date(1999, 1, 1)
    for text, sentence in (("1 jan 1999", CHECK_YEAR), ("2101-01-01", CHECK_YEAR), (" ", CHOOSE_DATE)):
        with pytest.raises(ValidationError) as wrong:
            read_day(text)
        assert str(wrong.value) == sentence


@pytest.mark.usefixtures("on_monday")
def test_what_depends_on_today_is_written_out_in_the_field():
    assert written_out("tomorrow", date(2026, 12, 1)) == "1 Dec 2026"
    assert written_out("12/12", date(2026, 12, 12)) == "12 Dec 2026"
    assert written_out("2026-12-12", date(2026, 12, 12)) == "2026-12-12"


@pytest.mark.usefixtures("on_monday")
def test_the_echo_has_the_date_or_the_sentence():
    assert day_echo(" ").words == ""
    assert (day_echo("sat").day, day_echo("sat").typed) == (date(2026, 12, 5), "5 Dec 2026")
    assert day_echo("sat", "past").day == date(2026, 11, 28)
    assert day_echo("sat", "never").day == date(2026, 12, 5)
    assert (day_echo("31 feb").day, day_echo("31 feb").words) == (None, describe_missing_day(31, "February"))


def _day_of_year(text, code="en_GB"):
    return DateReader(code, MONDAY).read_day_of_year(text)


@pytest.mark.parametrize(
    ("text", "code", "day"),
    [
        ("1 Feb", "en_GB", "02-01"),
        (" 14  february ", "en_GB", "02-14"),
        ("Feb 14", "en_GB", "02-14"),
        ("the 29th of Feb", "en_GB", "02-29"),
        ("31. Dec.", "en_GB", "12-31"),
        ("3 Sept", "en_GB", "09-03"),
        ("2/5", "en_GB", "05-02"),
        ("2/5", "en_US", "02-05"),
    ],
)
def test_a_day_of_the_year_is_read_as_people_write_it(text, code, day):
    assert _day_of_year(text, code) == day


@pytest.mark.parametrize("text", ["", "Feb", "14", "1 Foo", "1 Feb 2026", "Sat 14 Feb", "tomorrow"])
def test_what_is_no_day_of_the_year_has_a_sentence(text):
    with pytest.raises(ValidationError, match=ENTER_DAY_OF_YEAR):
        _day_of_year(text)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("30 Feb", describe_missing_day(30, "February")),
        ("0 Mar", describe_missing_day(0, "March")),
        ("1/13", describe_missing_month(13, "day", "28/11")),
    ],
)
def test_a_day_that_no_year_has_is_named(text, sentence):
    with pytest.raises(ValidationError) as wrong:
        _day_of_year(text)
    assert str(wrong.value) == sentence


@given(st.sampled_from(LOCALES), st.dates(date(2024, 1, 1), date(2024, 12, 31)))
def test_a_day_of_a_season_is_read_back_as_it_is_shown(code, day):
    assert _day_of_year(describe_day(f"{day:%m-%d}"), code) == f"{day:%m-%d}"
