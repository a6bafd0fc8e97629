"""What the counter says where the bench does not fit."""

from zoneinfo import ZoneInfo

import pytest

from app.actions.bench.alternatives import BenchAlternatives
from app.actions.bench.fit import BenchFit
from app.planning.finishing import Fit
from app.planning.schedule import Shift, Shortage
from app.web.formats import Formats
from app.web.wording.bench import bench_sentence, describe_extra_capacity
from tests.actions.builders import at

LONDON = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)


def _fit(gas=None, fit=Fit.CANNOT):
    return BenchFit(fit, Shortage(1500, 1500, ("1001-1", "1002-1"), at(9), at(12), gas), 1500, ("1001", "1002"))


def test_it_says_how_short_when_where_and_who_competes():
    assert bench_sentence(_fit(), BenchAlternatives(), LONDON) == (
        "The bench cannot make it beside the other orders: 25 min of work too many between Sat 21 Nov, 09:00 and"
        " 12:00, for want of hands. It competes with orders 1001, 1002. No later hour before the event would do."
    )


def test_what_was_not_found_is_not_called_impossible():
    said = bench_sentence(_fit(fit=Fit.NOT_FOUND), BenchAlternatives(search_complete=False), LONDON)
    assert said.startswith("No way was found to make it beside the other orders: ")
    assert said.endswith("No later hour was found that would do.")


def test_one_more_hand_is_told_with_its_hours():
    ways = BenchAlternatives(extra_person=Shift(at(7), at(9), 1))
    assert describe_extra_capacity(_fit(), ways, LONDON) == (
        "One more hand on Saturday from 07:00 to 09:00 would do.",
    )


@pytest.mark.parametrize(("point", "would"), [(True, "would do"), (False, "would not do")])
def test_one_more_point_is_told_whether_or_not_it_would_do(point, would):
    said = describe_extra_capacity(_fit("helium"), BenchAlternatives(extra_point_fits=point), LONDON)
    assert said == (f"One more filling point for helium {would}.",)


def test_where_nothing_would_do_nothing_is_told():
    assert describe_extra_capacity(_fit(), BenchAlternatives(), LONDON) == ()
