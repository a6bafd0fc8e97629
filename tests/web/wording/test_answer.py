"""What the answer of the order form says: a day is named wherever it is not today, and named once."""

import re
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from app.planning.bench_window import BenchWindow
from app.planning.finishing import Fit
from app.quoting.quote import make_quote, quote_if_waiting
from app.quoting.request import ExtraRequest, ExtraSort, HandOver
from app.web.formats import Formats
from app.web.wording.answer import (
    can_make_words,
    day_without_weekday,
    fill_sentence,
    fine_sentence,
    hours_sentence,
    in_time_sentence,
    late_sentence,
    moment_words,
    short_headline,
    still_short_sentence,
)
from tests.actions.builders import at, line, order_request
from tests.quoting.test_crew import crew_quote, crew_shop

LONDON = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)
NOW = at(8)


def _said(earliest, by, *, lasts=False):
    return fill_sentence(BenchWindow(earliest, by, by + timedelta(minutes=30)), LONDON, NOW, lasts=lasts)


def test_today_is_not_named():
    assert _said(at(9), at(12)) == "Fill between 09:00 and 12:00."
    assert _said(None, at(12)) == "Fill any time until 12:00."
    assert _said(at(7), at(12)) == "Fill any time until 12:00."


def test_another_day_is_named_once():
    first, last = at(9, days=7), at(12, days=7)
    assert _said(first, last) == f"Fill between {LONDON.moment(first)} and 12:00."
    assert (
        _said(first, at(12, days=8)) == f"Fill between {LONDON.moment(first)} and {LONDON.moment(at(12, days=8))}."
    )
    assert _said(at(9), last) == f"Fill between 09:00 and {LONDON.moment(last)}."


def test_a_window_of_no_length_is_one_time():
    assert _said(at(15, 4), at(15, 4)) == "Fill at 15:04."


def test_an_empty_window_says_both_ends():
    assert (
        _said(at(14, 5), at(8, 15))
        == "To last, they must be filled after 14:05. To be ready, they must be filled by 08:15."
    )
    assert (
        _said(at(14, 20), at(14), lasts=True)
        == "They can only be filled after 14:20. To be ready, they must be filled by 14:00."
    )
    first, by = at(14, 5, days=1), at(17, 40)
    said = _said(first, by)
    assert said.index(LONDON.moment(first)) < said.index(LONDON.moment(by))


def test_a_start_that_has_passed_is_the_latest_there_was():
    assert _said(None, at(7, 30)) == "The latest start was 07:30."


@pytest.mark.parametrize(
    ("fit", "said"),
    [
        (Fit.FITS, "Can be ready"),
        (Fit.CANNOT, "Can't be ready by 10:30"),
        (Fit.NOT_FOUND, "May not be ready by 10:30"),
    ],
)
def test_the_headline_of_the_bench(fit, said):
    assert can_make_words(fit, at(10, 30), LONDON, NOW) == said


def test_the_headline_names_another_day():
    assert can_make_words(Fit.CANNOT, at(10, 30, days=1), LONDON, NOW).endswith(LONDON.moment(at(10, 30, days=1)))
    assert moment_words(at(9), LONDON, NOW.date()) == LONDON.clock(at(9))


def test_what_is_short_is_named_first_and_then_counted():
    assert short_headline([]) == ""
    assert short_headline(["4 red 11 in latex"]) == "Short of 4 red 11 in latex"
    assert short_headline(["4 red 11 in latex", "9 L helium"]) == "Short of 4 red 11 in latex and 1 more"


def test_what_an_alternative_leaves_short_is_said_the_same_way():
    assert still_short_sentence([]) == ""
    assert still_short_sentence(["4 red 11 in latex"]) == "Still short of 4 red 11 in latex."
    assert (
        still_short_sentence(["4 red 11 in latex", "9 L helium"]) == "Still short of 4 red 11 in latex and 1 more."
    )


def test_all_that_is_fine_is_one_sentence():
    assert fine_sentence([]) == ""
    assert fine_sentence(["bench"]) == "Bench: fine."
    assert fine_sentence(["bench", "stock", "gas"]) == "Bench, stock and gas: fine."


def _hours(shop, catalogue, *lines, **changes):
    return hours_sentence(make_quote(order_request(catalogue, *lines, **changes), shop, catalogue, at(9)), LONDON)


EVENT = f"Event {LONDON.moment(at(15))} to 17:00."


def test_the_hours_of_an_order_name_their_day_once(shop, catalogue):
    assert _hours(shop, catalogue) == f"{EVENT} Ready by 14:00."


def test_of_a_delivery_both_hours_are_said(shop, catalogue):
    van = {"hand_over": HandOver.DELIVER, "arrives_at": at(14, 30), "ready_by": at(14), "travel_minutes": 30}
    assert _hours(shop, catalogue, **van) == f"{EVENT} Ready by 14:00, delivered at 14:30."


def test_a_delivery_that_is_set_up_before_the_event_says_its_earlier_hour(shop, catalogue):
    van = {"hand_over": HandOver.DELIVER, "arrives_at": at(14, 50), "ready_by": at(14, 20), "travel_minutes": 30}
    said = _hours(shop, catalogue, **van, extras=(ExtraRequest(ExtraSort.SET_UP, 1),))
    early = "delivered at 14:40 instead of 14:50, to set up before the event."
    assert said == f"{EVENT} Ready by 14:10, {early}"


def test_of_a_later_part_its_hour_is_said_and_whether_the_event_has_started(shop, catalogue):
    lines = line(catalogue, later=True), line(catalogue, "18 in foil", quantity=1)
    for hour, ends in ((14, ""), (16, ", after the event has started")):
        said = _hours(shop, catalogue, *lines, ready_by=at(9, 30), later_at=at(hour))
        assert said == f"{EVENT} Ready by 09:30, later part ready by {hour}:00{ends}."


def test_the_answer_says_how_long_the_bench_lacks_the_crew():
    quote = crew_quote(crew_shop())
    assert hours_sentence(quote, LONDON) == (
        f"Event {LONDON.moment(quote.request.event_start)} to 23:00. The crew can enter from 15:00, must start to"
        " fill by 17:45 and be done by 18:35. The crew of 2 leaves by 16:45 and is back about 19:40."
    )


def _late(shop, catalogue, now, **changes):
    late = make_quote(order_request(catalogue, **changes), shop, catalogue, now)
    return late_sentence(late, LONDON, now, quote_if_waiting(late, shop, catalogue, now)), late


def test_who_waits_is_told_what_they_miss_and_whether_it_floats_to_the_end(shop, catalogue):
    said, _ = _late(shop, catalogue, at(14, 40), ready_by=at(14, 45))
    assert said.startswith(
        "If you start now, it is ready at 15:15. If the caller waits, they miss the first 15 min of the event. "
        "Filled from now on: "
    )
    assert said.endswith(" 17:00.")


def test_an_order_that_is_ready_only_tomorrow_names_that_day_and_the_end(shop, catalogue):
    said, _ = _late(
        shop,
        catalogue,
        at(17),
        lines=(line(catalogue, quantity=300),),
        ready_by=at(10, days=1),
        event_start=at(10, days=1),
        lasts_until=at(16, days=1),
    )
    assert re.match(r"If you start now, it is ready at [A-Z][a-z]{2} 1\d:\d\d\. If the caller waits, ", said)
    assert re.search(r" by [A-Z][a-z]{2} 16:00\.$", said)


def test_times_beside_a_window_have_no_weekday_only_where_it_is_filled_and_ready_on_one_day():
    now, ready = at(9), at(9, days=3)
    same, before = at(8, days=3), at(17, days=2)
    assert day_without_weekday(same, ready, LONDON, now) == ready.date()
    assert day_without_weekday(before, ready, LONDON, now) == now.date()


def test_a_wait_beyond_the_end_is_said_to_be_of_no_use(shop, catalogue):
    said, late = _late(shop, catalogue, at(16, 45), event_start=at(16, 50), ready_by=at(16, 46))
    ready = LONDON.short_moment(late.ready_at, late.ready_at.date())
    assert said == (f"If you start now, it is ready at {ready}. Waiting does not help: the event ends at 17:00.")


def test_what_would_be_if_an_order_were_in_time_says_from_when_on():
    chance = "Almost certain that it is still up at 15:00."
    assert in_time_sentence(chance, at(7), LONDON, NOW) == (
        "Filled from 07:00, to be ready in time: almost certain that it is still up at 15:00."
    )
    assert in_time_sentence(chance, at(17, days=-1), LONDON, NOW).startswith(
        f"Filled from {LONDON.moment(at(17, days=-1))}, to be ready in time: a"
    )
