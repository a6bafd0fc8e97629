"""Worked cases, computed independently by the formulas, here from the physics up to the window of one batch.

The promise is made for the batch. Settings unless a case says otherwise: 20 °C in shop and venue, sea level, 0.75 g
of load, certainty 95 %, open 08:00 to 18:00 every day, one person, drying 120 minutes. Times are starts of filling.
The Friday is 10 July 2026; its clocks do not matter.
"""

import math
from datetime import datetime, timedelta

import pytest

from app.craft.sizing import AirSizes, fill_size
from app.physics.air import Air
from app.physics.balloon import Gas
from app.physics.endurance import Endurance, Filling, endurance
from app.physics.leak import loss_rate
from app.physics.light import Surroundings
from app.physics.promise import promise_of
from app.planning.bench_window import latest_fill_start, latest_start_for_one_person, ready_time_for_one_person
from app.planning.shoptime import step_up
from app.planning.window import Certainty, FloatPlan, FloatWindow, Leg, Verdict, chance_at_end, not_before
from tests.physics.kinds import FOIL_18, latex
from tests.planning.shops import BERLIN, DEFAULTS, HOUR, MINUTE, berlin, daily, local, owns

NO_DRYING = timedelta()
DRYING = 2 * HOUR


def _friday(hour: int, minute: int = 0) -> datetime:
    return berlin(2026, 7, 10, hour, minute)


TO_THE_END = [Leg(_friday(23, 30), 1.0)]


def _window(
    owned: Endurance, legs: list[Leg], ready_by: datetime, finishing: int, work: int, drying: timedelta = NO_DRYING
) -> FloatWindow:
    inflate_by = latest_fill_start(ready_by, daily(), finishing * MINUTE, drying, work * MINUTE)
    return FloatPlan(owned, tuple(legs)).window(inflate_by, Certainty())


def _percent(start: datetime, legs: list[Leg], owned: Endurance) -> int:
    """A chance as it is shown: rounded down."""
    return math.floor(100 * chance_at_end(start, legs, owned))


class TestEvening:
    """Case 1: 24 of 11 in, collected Friday 08:45, dance 17:30 to 23:30; 20 minutes of filling, 10 of finishing."""

    def test_untreated_is_a_no(self):
        window = _window(owns(latex(11), count=24), TO_THE_END, _friday(8, 45), 10, 20)
        assert local(window.not_before) == "Fri 14:05"
        assert local(window.inflate_by) == "Fri 08:15"
        assert window.verdict is Verdict.WONT_LAST
        assert math.floor(100 * window.chance) == 37

    def test_treated_is_filled_on_thursday(self):
        """Drying would put the fill at 06:15 on Friday, before opening."""
        treated = owns(latex(11), treated=True, count=24)
        window = _window(treated, TO_THE_END, _friday(8, 45), 10, 20, DRYING)
        assert local(window.inflate_by) == "Thu 17:40"
        assert window.verdict is Verdict.SAFE
        assert _percent(window.inflate_by, TO_THE_END, treated) == 99

    def test_collected_later_would_work(self):
        """Not before 14:05 means ready from 14:35, on the shop's step of a quarter 14:45."""
        works = [(20 * MINUTE, NO_DRYING)]
        ready = ready_time_for_one_person(_friday(14, 5), daily(), 10 * MINUTE, works)
        assert local(ready) == "Fri 14:35"
        assert local(step_up(ready, 15, BERLIN)) == "Fri 14:45"
        window = _window(owns(latex(11), count=24), TO_THE_END, ready, 10, 20)
        assert window.verdict is Verdict.SAFE
        assert window.not_before == window.inflate_by

    def test_filled_at_the_venue_would_work(self):
        eleven = owns(latex(11), count=24)
        assert Certainty().verdict(chance_at_end(_friday(17), TO_THE_END, eleven)) is Verdict.SAFE

    @pytest.mark.parametrize(
        ("inches", "earliest", "verdict"), [(12, "Fri 12:13", Verdict.WONT_LAST), (16, "Fri 00:45", Verdict.SAFE)]
    )
    def test_a_larger_balloon(self, inches, earliest, verdict):
        window = _window(owns(latex(inches), count=24), TO_THE_END, _friday(8, 45), 10, 20)
        assert local(window.not_before) == earliest
        assert window.verdict is verdict


@pytest.mark.parametrize(
    ("ready_by", "inflate_by", "percent", "verdict"),
    [((14, 30), "Fri 14:00", 94, Verdict.RISKY), ((14, 45), "Fri 14:15", 95, Verdict.SAFE)],
)
def test_case_2_collected_in_the_afternoon(ready_by, inflate_by, percent, verdict):
    window = _window(owns(latex(11), count=24), TO_THE_END, _friday(*ready_by), 10, 20)
    assert (local(window.not_before), local(window.inflate_by)) == ("Fri 14:05", inflate_by)
    assert (math.floor(100 * window.chance), window.verdict) == (percent, verdict)


@pytest.mark.parametrize(
    ("minute", "inflate_by", "percent", "verdict"),
    [(0, "Mon 17:00", 94, Verdict.RISKY), (10, "Tue 08:00", 98, Verdict.SAFE)],
)
def test_case_3_treated_for_two_days(minute, inflate_by, percent, verdict):
    """50 of 11 in, collected Tuesday 11:00, up until Wednesday 20:00; 60 minutes of filling, 10 of finishing."""
    legs = [Leg(berlin(2026, 7, 15, 20), 1.0)]
    owned = owns(latex(11), treated=True, count=50)
    window = _window(owned, legs, berlin(2026, 7, 14, 11, minute), 10, 60, DRYING)
    assert (local(window.not_before), local(window.inflate_by)) == ("Mon 18:05", inflate_by)
    assert (math.floor(100 * window.chance), window.verdict) == (percent, verdict)


class TestBouquets:
    """Case 4: one 18 in foil (2 minutes) and nine 11 in (10), 15 of finishing; collected 16:00, up until 22:00."""

    LEGS = (Leg(_friday(22), 1.0),)
    READY_BY = _friday(16)

    def test_latex(self):
        window = _window(owns(latex(11), count=9), self.LEGS, self.READY_BY, 15, 10)
        assert (local(window.not_before), local(window.inflate_by)) == ("Fri 12:43", "Fri 15:35")
        assert window.verdict is Verdict.SAFE

    def test_one_person_starts_two_minutes_earlier(self):
        works = [(2 * MINUTE, NO_DRYING), (10 * MINUTE, NO_DRYING)]
        assert local(latest_start_for_one_person(self.READY_BY, daily(), 15 * MINUTE, works)) == "Fri 15:33"

    def test_foil_may_be_filled_days_before(self):
        window = _window(owns(FOIL_18), self.LEGS, self.READY_BY, 15, 2)
        assert window.verdict is Verdict.SAFE
        assert window.inflate_by - window.not_before > timedelta(days=5)


class TestHotGarden:
    """Case 5: 30 of 11 in, shop at 21 °C, collected 17:00, shade at 33 °C until 22:00; 20 and 10 minutes."""

    SHOP, GARDEN = Air(21), Air(33)
    LEGS = (Leg(_friday(17), loss_rate(SHOP)), Leg(_friday(22), loss_rate(GARDEN)))

    def _owned(self) -> Endurance:
        size = fill_size(latex(11), Gas.HELIUM, self.SHOP, [self.GARDEN], Surroundings.SHADE, AirSizes())
        assert size.diameter_in == 10.85
        filling = Filling(latex(11), Gas.HELIUM, size.litres, self.SHOP)
        return endurance(filling, DEFAULTS, promise_of(30))

    def test_window(self):
        window = _window(self._owned(), self.LEGS, _friday(17), 10, 20)
        assert (local(window.not_before), local(window.inflate_by)) == ("Fri 16:05", "Fri 16:30")
        assert (math.floor(100 * window.chance), window.verdict) == (96, Verdict.SAFE)

    def test_filled_in_the_morning_it_would_be_down(self):
        assert _percent(_friday(9), self.LEGS, self._owned()) == 22


def test_case_7_filled_at_nine_for_midnight():
    """One balloon is as likely down as up: the trade's experience, common practice, no source. 22 of 24: 40 %."""
    to_midnight = [Leg(berlin(2026, 7, 11), 1.0)]
    assert _percent(_friday(9), to_midnight, owns(latex(11))) == 50
    assert _percent(_friday(9), to_midnight, owns(latex(11), count=24)) == 40
    assert not_before(to_midnight, owns(latex(11)), 0.95) > _friday(9)
