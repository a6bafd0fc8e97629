"""Worked cases, reckoned independently by the formulas, with pencil and table.

Settings unless a case says otherwise: 20 °C in shop and venue, sea level, 0.75 g of load, spread 0.25
untreated and 0.45 treated, certainty 95 %, open 08:00 to 18:00 every day, one hand, drying 120 minutes.
Times are starts of filling. The Saturday is 11 July 2026; its clocks do not matter.
"""

from datetime import datetime, timedelta

import pytest

from app.craft.sizing import AirSizes, fill_size
from app.physics.air import Air
from app.physics.balloon import Gas
from app.physics.endurance import Endurance, Filling, endurance
from app.physics.leak import loss_rate
from app.physics.light import Surroundings
from app.planning.shoptime import step_up
from app.planning.window import (
    Certainty,
    FloatWindow,
    Leg,
    Verdict,
    chance_at_end,
    float_window,
    latest_fill_start,
    latest_start_for_one_person,
    not_before,
    ready_time_for_one_person,
)
from tests.physics.kinds import FOIL_18, latex
from tests.planning.shops import BERLIN, DEFAULTS, HOUR, MINUTE, berlin, daily, local, owns

NO_DRYING = timedelta()
DRYING = 2 * HOUR
MIDNIGHT = berlin(2026, 7, 12)
TO_MIDNIGHT = [Leg(MIDNIGHT, 1.0)]


def _saturday(hour: int, minute: int = 0) -> datetime:
    return berlin(2026, 7, 11, hour, minute)


def _window(
    owned: Endurance, legs: list[Leg], ready_by: datetime, finishing: int, work: int, drying: timedelta = NO_DRYING
) -> FloatWindow:
    inflate_by = latest_fill_start(ready_by, daily(), finishing * MINUTE, drying, work * MINUTE)
    return float_window(owned, legs, inflate_by, Certainty())


def _percent(start: datetime, legs: list[Leg], owned: Endurance) -> float:
    return round(100 * chance_at_end(start, legs, owned), 1)


class TestEvening:
    """Case 1: 24 of 11 in, collected Saturday 09:00, party 18:00 to 24:00; 20 minutes and a tail of 10."""

    def test_untreated_is_a_no(self):
        window = _window(owns(latex(11)), TO_MIDNIGHT, _saturday(9), 10, 20)
        assert local(window.not_before) == "Sat 14:04"
        assert local(window.inflate_by) == "Sat 08:30"
        assert window.verdict is Verdict.WONT_LAST
        assert round(window.chance, 2) == 0.45

    def test_treated_is_filled_on_friday(self):
        """Drying would put the fill at 06:30 on Saturday, before opening.

        That start has the 99.9 % of the case as reckoned; the Friday 17:40 it leads to has 99.5 %.
        """
        treated = owns(latex(11), treated=True)
        window = _window(treated, TO_MIDNIGHT, _saturday(9), 10, 20, DRYING)
        assert local(window.inflate_by) == "Fri 17:40"
        assert window.verdict is Verdict.SAFE
        assert _percent(window.inflate_by, TO_MIDNIGHT, treated) == 99.5
        assert _percent(_saturday(6, 30), TO_MIDNIGHT, treated) == 99.9

    def test_collected_later_would_work(self):
        """Not before 14:04 means ready from 14:34, on the shop's step of a quarter 14:45."""
        works = [(20 * MINUTE, NO_DRYING)]
        ready = ready_time_for_one_person(_saturday(14, 4), daily(), 10 * MINUTE, works)
        assert local(ready) == "Sat 14:34"
        assert local(step_up(ready, 15, BERLIN)) == "Sat 14:45"
        window = _window(owns(latex(11)), TO_MIDNIGHT, ready, 10, 20)
        assert window.verdict is Verdict.SAFE
        assert window.not_before == window.inflate_by

    def test_filled_at_the_venue_would_work(self):
        eleven = owns(latex(11))
        assert Certainty().verdict(chance_at_end(_saturday(17, 30), TO_MIDNIGHT, eleven)) is Verdict.SAFE

    @pytest.mark.parametrize(
        ("inches", "earliest", "verdict"), [(12, "Sat 12:05", Verdict.WONT_LAST), (16, "Fri 23:59", Verdict.SAFE)]
    )
    def test_a_larger_balloon(self, inches, earliest, verdict):
        window = _window(owns(latex(inches)), TO_MIDNIGHT, _saturday(9), 10, 20)
        assert local(window.not_before) == earliest
        assert window.verdict is verdict


def test_case_2_collected_in_the_afternoon():
    window = _window(owns(latex(11)), TO_MIDNIGHT, _saturday(15), 10, 20)
    assert (local(window.not_before), local(window.inflate_by)) == ("Sat 14:04", "Sat 14:30")
    assert window.verdict is Verdict.SAFE
    assert round(100 * window.chance, 1) == 96.6


def test_case_3_treated_for_two_days():
    """50 of 11 in, collected Saturday 11:00, up until Sunday 20:00; 60 minutes and a tail of 10."""
    legs = [Leg(berlin(2026, 7, 12, 20), 1.0)]
    window = _window(owns(latex(11), treated=True), legs, _saturday(11), 10, 60, DRYING)
    assert (local(window.not_before), local(window.inflate_by)) == ("Fri 09:47", "Fri 17:00")
    assert window.verdict is Verdict.SAFE


class TestBouquets:
    """Case 4: one 18 in foil (2 minutes) and nine 11 in (10), tail 15; collected 16:00, up until 22:00."""

    LEGS = (Leg(_saturday(22), 1.0),)
    READY_BY = _saturday(16)

    def test_latex(self):
        window = _window(owns(latex(11)), self.LEGS, self.READY_BY, 15, 10)
        assert (local(window.not_before), local(window.inflate_by)) == ("Sat 12:04", "Sat 15:35")
        assert window.verdict is Verdict.SAFE

    def test_one_hand_starts_two_minutes_earlier(self):
        works = [(2 * MINUTE, NO_DRYING), (10 * MINUTE, NO_DRYING)]
        assert local(latest_start_for_one_person(self.READY_BY, daily(), 15 * MINUTE, works)) == "Sat 15:33"

    def test_foil_may_be_filled_days_before(self):
        window = _window(owns(FOIL_18), self.LEGS, self.READY_BY, 15, 2)
        assert window.verdict is Verdict.SAFE
        assert window.inflate_by - window.not_before > timedelta(days=5)


class TestHotGarden:
    """Case 5: 30 of 11 in, shop at 21 °C, collected 17:00, shade at 33 °C until 22:00; 20 minutes, tail 10."""

    SHOP, GARDEN = Air(21), Air(33)
    LEGS = (Leg(_saturday(17), loss_rate(SHOP)), Leg(_saturday(22), loss_rate(GARDEN)))

    def _owned(self) -> Endurance:
        size = fill_size(latex(11), Gas.HELIUM, self.SHOP, [self.GARDEN], Surroundings.SHADE, AirSizes())
        assert size.diameter_in == 10.85
        return endurance(Filling(latex(11), Gas.HELIUM, size.litres, self.SHOP), DEFAULTS)

    def test_window(self):
        window = _window(self._owned(), self.LEGS, _saturday(17), 10, 20)
        assert (local(window.not_before), local(window.inflate_by)) == ("Sat 15:37", "Sat 16:30")
        assert window.verdict is Verdict.SAFE

    def test_filled_in_the_morning_it_would_be_down(self):
        """30.4 % by the formulas. The 31 % of the case as reckoned comes out when the litres count as measured
        at 20 °C, not in the shop's 21 (30.8 %)."""
        chance = chance_at_end(_saturday(9), self.LEGS, self._owned())
        assert 0.304 <= chance <= 0.306
        uncorrected = owns(latex(11), inches=10.85)
        assert round(chance_at_end(_saturday(9), self.LEGS, uncorrected), 2) == 0.31


def test_case_7_filled_at_nine_for_midnight():
    """As likely down as up: the trade's experience, common practice, no source."""
    assert _percent(_saturday(9), TO_MIDNIGHT, owns(latex(11))) == 50.1
    assert not_before(TO_MIDNIGHT, owns(latex(11)), 0.95) > _saturday(9)
