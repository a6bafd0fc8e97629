"""The labels of the float strip: which days they name, and that none runs into another."""

import re
from dataclasses import replace
from datetime import date, timedelta
from itertools import groupby, pairwise, product

import pytest

from app.actions.records.shop import load_shop
from app.physics.endurance import Endurance
from app.physics.promise import Promise, Scatter
from app.planning.bench_window import BenchWindow
from app.planning.window import FloatPlan, Leg, Verdict, chance_at_end
from app.web.drawings.float_strip import FADE_STEPS, LETTER, WIDTH, StripHours, layout
from app.web.formats import Formats
from tests.actions.builders import at

NOW = at(8)
WEEKDAYS = "Mon|Tue|Wed|Thu|Fri|Sat|Sun"


@pytest.fixture
def formats(session):
    return Formats.of(load_shop(session))


def _strip(formats, days=0, first=8, fill_by=10, ready=12, starts=14, ends=18, started=None):
    """A strip whose hours are those of a day so many days after today; now is 08:00."""
    hour = {
        name: at(0, days=days) + timedelta(hours=value)
        for name, value in (
            ("first", first),
            ("fill_by", fill_by),
            ("ready", ready),
            ("starts", starts),
            ("ends", ends),
        )
    }
    window = BenchWindow(hour["first"], hour["fill_by"], hour["ready"])
    owns = Endurance(15.0, Scatter(0.25, 0.05), promise=Promise(22, 24))
    plan = FloatPlan(owns, (Leg(hour["ends"], 1.0),))
    hours = StripHours(window, hour["starts"], hour["ends"], plan, Verdict.SAFE, started)
    return layout(hours, "", formats, NOW)


def _texts(labels):
    return [label.text for label in labels]


def _day_of(formats, days):
    return formats.short_date(date(2026, 11, 21) + timedelta(days=days))


def test_today_needs_no_name(formats):
    strip = _strip(formats, first=9)
    assert _texts(strip.above) == ["09:00 – 10:00"]
    assert _texts(strip.below) == ["18:00", "14:00", "12:00"]


@pytest.mark.parametrize("days", [-1, 1, 3, 4, 6, 8, 30])
def test_each_label_names_a_day_that_is_not_today(formats, days):
    for labels in (_strip(formats, days).above, _strip(formats, days).below):
        assert labels
        assert all(re.search(WEEKDAYS, text) for text in _texts(labels))


def test_a_far_day_has_its_date_once(formats):
    strip = _strip(formats, 10)
    assert _texts(strip.above) == [f"{_day_of(formats, 10)}, 08:00 – 10:00"]
    started = _strip(formats, 10, started=at(7))
    assert _texts(started.above) == ["started 07:00"]
    assert _texts(started.below)[0] == f"{_day_of(formats, 10)}, 18:00"


def test_the_ends_of_an_empty_window_name_their_day(formats):
    strip = _strip(formats, 1, first=11, fill_by=10)
    assert len(strip.above) == 2
    assert all(re.search(WEEKDAYS, text) for text in _texts(strip.above))


HOURS = ((12, 14, 18), (11, 12, 13), (10.5, 10.75, 23), (15, 22, 23), (20, 40, 90))
"""Ready, start and end."""


@pytest.mark.parametrize("twelve_hours", [False, True])
@pytest.mark.parametrize("locale", ["en_GB", "en_CA", "en_DE"])
def test_no_label_runs_into_another_or_out_of_the_picture(formats, twelve_hours, locale):
    shown = replace(formats, twelve_hours=twelve_hours, locale=locale)
    for days, first, hours in product((0, 1, 10), (0, 9, 11), HOURS):
        ready, starts, ends = hours
        strip = _strip(shown, days, first=first, ready=ready, starts=starts, ends=ends)
        for labels in (strip.above, strip.below):
            sides = sorted((one.x - LETTER * len(one.text), one.x + LETTER * len(one.text)) for one in labels)
            assert sides[0][0] >= -0.1, (days, first, hours)
            assert sides[-1][1] <= WIDTH + 0.1, (days, first, hours)
            assert all(left[1] < right[0] for left, right in pairwise(sides)), (days, first, hours)


def test_a_label_below_stays_at_its_mark(formats):
    """The event's end and start are so near each other that their labels would overlap."""
    strip = _strip(formats, 1, first=4, ready=12, starts=16, ends=18)
    marks = {"18:00": strip.until, "16:00": strip.event[0], "12:00": strip.ready_by}
    assert len(strip.below) == 3
    for label in strip.below:
        mark = marks[label.text.split()[-1]]
        assert abs(label.x - mark) <= LETTER * len(label.text)


@pytest.mark.parametrize("hours", [0.5, 6.0, 15.0, 24.0, 90.0])
@pytest.mark.parametrize("wet", [0.0, 3.0])
def test_each_piece_of_the_float_line_is_as_strong_as_the_chance_at_its_middle(formats, hours, wet):
    plan = FloatPlan(
        Endurance(hours, Scatter(0.25, 0.05), wet, 4.0, Promise(22, 24)),
        (Leg(at(12), 1.0), Leg(at(13), 0.0), Leg(at(18), 2.5)),
    )
    window = BenchWindow(at(8), at(10), at(12))
    strip = layout(StripHours(window, at(14), at(18), plan, Verdict.SAFE), "", formats, NOW)
    strengths = []
    for step in range(FADE_STEPS):
        middle = at(10) + (step + 0.5) * timedelta(hours=8) / FADE_STEPS
        legs = [leg for leg in plan.legs if leg.ends < middle]
        legs.append(Leg(middle, plan.legs[len(legs)].loss_rate))
        strengths.append(max(round(chance_at_end(at(10), legs, plan.endurance), 1), 0.1))
    assert [piece.strength for piece in strip.fade] == [strength for strength, _ in groupby(strengths)]
    widths = [len(list(alike)) for _, alike in groupby(strengths)]
    one = sum(piece.width - 0.4 for piece in strip.fade) / FADE_STEPS
    assert [piece.width - 0.4 for piece in strip.fade] == pytest.approx([one * width for width in widths], abs=0.2)
