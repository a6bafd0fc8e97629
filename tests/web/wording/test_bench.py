"""What the counter says where the bench cannot make an order in time."""

from zoneinfo import ZoneInfo

import pytest

from app.actions.bench.alternatives import BenchAlternatives
from app.actions.bench.fit import BenchFit
from app.planning.finishing import Fit
from app.planning.schedule import Shift, Shortage
from app.planning.work import STUFFING
from app.web.formats import Formats
from app.web.wording.bench import (
    bench_details,
    bench_problem,
    extra_person_words,
    extra_point_sentence,
    first_time_sentence,
)
from tests.actions.builders import at

LONDON = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)


def _fit(gas=None, fit=Fit.CANNOT):
    return BenchFit(fit, Shortage(1500, 1500, ("1001-1", "1002-1"), at(9), at(12), gas), 1500, ("1001", "1002"))


@pytest.mark.parametrize(
    ("gas", "who"),
    [
        (None, "staff can do"),
        ("helium", "the filling points for helium can do"),
        (STUFFING, "the stuffing machine can do"),
    ],
)
def test_it_says_how_much_is_too_much_for_whom_and_when(gas, who):
    between = f"between {LONDON.moment(at(9))} and {LONDON.clock(at(12))}"
    assert bench_problem(_fit(gas), LONDON) == f"{LONDON.minutes(25)} more work than {who} {between}."


def test_a_bench_that_can_make_it_has_no_problem():
    assert bench_problem(BenchFit(Fit.FITS), LONDON) == ""
    assert bench_details(BenchFit(Fit.FITS)) == ()


def test_the_details_name_who_competes_and_who_is_late_anyway():
    assert bench_details(_fit()) == ("The same hours are needed for orders 1001, 1002.",)
    as_it_is = BenchFit(Fit.FITS, already_unfit=("1003",), unavoidably_late=("1004",))
    assert bench_details(as_it_is) == (
        "The bench can't make all other orders in time (order 1003). This order makes it no worse.",
        "Already late, with or without this order: order 1004.",
    )


def test_what_was_not_found_is_not_called_impossible():
    assert first_time_sentence(BenchAlternatives(), LONDON) == "No later time before the event fits."
    not_found = BenchAlternatives(search_complete=False)
    assert first_time_sentence(not_found, LONDON) == "No later time that fits was found."


def test_one_more_person_is_named_with_the_hours():
    ways = BenchAlternatives(extra_person=Shift(at(7), at(9), 1))
    said = extra_person_words(ways, LONDON)
    assert said == f"Add 1 person on {LONDON.moment(at(7))} to {LONDON.clock(at(9))}"
    assert extra_person_words(BenchAlternatives(), LONDON) == ""


@pytest.mark.parametrize(("point", "would"), [(True, "would be enough"), (False, "would not be enough")])
def test_one_more_point_is_named_whether_or_not_it_is_enough(point, would):
    said = extra_point_sentence(_fit("helium"), BenchAlternatives(extra_point_fits=point))
    assert said == f"One more filling point for helium {would}."
    assert extra_point_sentence(_fit(), BenchAlternatives()) == ""
