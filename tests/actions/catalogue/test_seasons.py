"""When a design is sold. Expected days are counted on a calendar by hand."""

from datetime import date

import pytest

from app.actions.catalogue.seasons import describe_seasons, in_season, read_day

VALENTINE = ("02-01", "02-14")
MIDWINTER = ("11-20", "01-06")


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("1 Feb", "02-01"),
        (" 14  february ", "02-14"),
        ("Feb 14", "02-14"),
        ("29 Feb", "02-29"),
        ("31. Dec.", "12-31"),
        ("3 Sept", "09-03"),
        ("2 may", "05-02"),
    ],
)
def test_a_day_is_read_as_people_write_it(typed, day):
    assert read_day(typed) == day


@pytest.mark.parametrize(
    "typed", ["", "Feb", "14", "30 Feb", "31 Apr", "0 Mar", "1 Foo", "1/2", "1 Feb 2026", "²  Feb"]
)
def test_what_is_no_day_has_a_sentence_that_shows_one(typed):
    with pytest.raises(ValueError, match="14 Feb"):
        read_day(typed)


@pytest.mark.parametrize(
    ("seasons", "day", "sold"),
    [
        ((), date(2027, 7, 1), True),
        ((VALENTINE,), date(2027, 1, 31), False),
        ((VALENTINE,), date(2027, 2, 1), True),
        ((VALENTINE,), date(2027, 2, 14), True),
        ((VALENTINE,), date(2027, 2, 15), False),
        ((MIDWINTER,), date(2026, 12, 31), True),
        ((MIDWINTER,), date(2027, 1, 6), True),
        ((MIDWINTER,), date(2027, 1, 7), False),
        ((VALENTINE, MIDWINTER), date(2026, 11, 21), True),
        ((("02-20", "02-29"),), date(2027, 2, 28), True),
        ((("02-20", "02-29"),), date(2027, 3, 1), False),
        ((("02-29", "03-05"),), date(2027, 3, 1), True),
    ],
)
def test_a_season_holds_its_first_and_last_day_and_runs_over_the_new_year(seasons, day, sold):
    assert in_season(seasons, day) is sold


def test_seasons_in_words():
    assert describe_seasons([VALENTINE, MIDWINTER]) == "1 Feb–14 Feb, 20 Nov–6 Jan"
    assert describe_seasons([]) == ""
