"""When a design is sold. Expected days are counted on a calendar by hand."""

from datetime import date

import pytest

from app.actions.catalogue.seasons import describe_seasons, in_season

VALENTINE = ("02-01", "02-14")
MIDWINTER = ("11-20", "01-06")


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
