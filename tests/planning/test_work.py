"""Hand minutes of batches and tails. The defaults: common practice, no source; each a setting."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.physics.air import Air
from app.physics.balloon import BalloonType, Gas, sphere_litres
from app.physics.endurance import Filling
from app.physics.material import Material
from app.planning.work import (
    WorkTimes,
    batch_work,
    drying,
    fill_seconds,
    filling_point,
    finishing_work,
    seconds_per_balloon,
    timed_flow,
)
from tests.physics.kinds import FOIL_18, SPHERE_20, latex
from tests.planning.shops import MINUTE, many

PACE = WorkTimes()
_litres = st.floats(0.5, 80)
_quantities = st.integers(0, 400)
_fillings = st.builds(
    Filling, st.sampled_from([latex(11), FOIL_18, SPHERE_20]), st.sampled_from(Gas), _litres, st.just(Air())
)


def _full(balloon_type: BalloonType, treated: bool = False, gas: Gas = Gas.HELIUM) -> Filling:
    return Filling(balloon_type, gas, balloon_type.full_litres, Air(), treated)


def test_two_dozen_eleven_inches_take_about_twenty_minutes():
    """Common practice, no source."""
    assert 18 * MINUTE <= batch_work(_full(latex(11)), 24, PACE) <= 22 * MINUTE


def test_stuffing_latex_takes_its_stuffing_too_and_has_a_machine_of_its_own():
    """Air only latex is stuffing latex: common practice, no source."""
    clear = BalloonType("18 in clear stuffing latex", Material.LATEX, 18, 11.0, air_only=True)
    filled = Filling(clear, Gas.AIR, 10.0, Air())
    assert seconds_per_balloon(filled, PACE) == pytest.approx(2 + 36 + 240)
    assert filling_point(clear.material, Gas.AIR, air_only=True) == "stuffing"
    assert filling_point(Material.LATEX, Gas.AIR, air_only=False) == "air"
    assert filling_point(Material.FOIL, Gas.AIR, air_only=True) == "air"


def test_seconds_of_one_balloon_are_its_flow_and_its_handling():
    """Volume in proportion to time at a steady flow: 12 L at 3 L/s are 4 s."""
    twelve = Filling(latex(11), Gas.HELIUM, 12.0, Air())
    assert seconds_per_balloon(twelve, PACE) == pytest.approx(4 + 36)
    assert seconds_per_balloon(Filling(latex(11), Gas.AIR, 12.0, Air()), PACE) == pytest.approx(2.4 + 36)
    assert seconds_per_balloon(Filling(FOIL_18, Gas.HELIUM, 12.0, Air()), PACE) == pytest.approx(4 + 45)


@many
@given(st.floats(3, 40), st.floats(3, 40), st.integers(1, 100), st.floats(0.5, 3600))
def test_one_timed_size_gives_every_other_by_the_cube_of_its_diameter(timed_in, other_in, fills, seconds):
    """Computed: volume in proportion to time at a steady flow, and spheres to the cube of their diameter."""
    flow = timed_flow(sphere_litres(timed_in), fills, seconds)
    expected = seconds / fills * (other_in / timed_in) ** 3
    assert fill_seconds(sphere_litres(other_in), flow) == pytest.approx(expected)


def test_ten_eleven_inches_in_forty_seconds_are_about_three_litres_a_second():
    """0.403 cubic feet in the sphere (computed) at 28.317 L each (by definition): 10 × 11.41 L / 40 s."""
    assert timed_flow(sphere_litres(11), 10, 40) == pytest.approx(10 * 0.403 * 28.317 / 40, rel=2e-3)


@pytest.mark.parametrize("timing", [(0, 1, 1), (11, 0, 1), (11, 1, 0), (11, 1, -4)])
def test_a_timing_of_nothing_gives_no_flow(timing):
    with pytest.raises(ValueError, match="above 0"):
        timed_flow(*timing)


@many
@given(_fillings, _quantities)
def test_one_more_balloon_never_takes_less(filling, quantity):
    assert batch_work(filling, quantity + 1, PACE) >= batch_work(filling, quantity, PACE)


@many
@given(_fillings, _quantities)
def test_a_batch_takes_its_seconds_rounded_up_to_the_minute(filling, quantity):
    seconds = PACE.prepare_minutes * 60 + quantity * seconds_per_balloon(filling, PACE)
    work = batch_work(filling, quantity, PACE)
    assert timedelta() <= work - timedelta(seconds=seconds) < MINUTE
    assert work % MINUTE == timedelta()


@many
@given(st.sampled_from([latex(11), FOIL_18]), st.sampled_from(Gas), _litres, _litres)
def test_more_gas_takes_longer(balloon_type, gas, one, other):
    less, more = (Filling(balloon_type, gas, litres, Air()) for litres in sorted((one, other)))
    assert seconds_per_balloon(less, PACE) <= seconds_per_balloon(more, PACE)


def test_treating_adds_its_seconds_to_every_balloon():
    plain, treated = _full(latex(11)), _full(latex(11), treated=True)
    added = seconds_per_balloon(treated, PACE) - seconds_per_balloon(plain, PACE)
    assert added == pytest.approx(PACE.treat_seconds)
    assert batch_work(treated, 24, PACE) - batch_work(plain, 24, PACE) == 8 * MINUTE


def test_only_treated_balloons_dry():
    assert drying(_full(latex(11), treated=True), PACE) == timedelta(hours=2)
    assert drying(_full(latex(11)), PACE) == timedelta()


def test_the_tail_holds_the_assembly_and_is_whole_minutes():
    assert finishing_work(0, PACE) == 10 * MINUTE
    assert finishing_work(4.2, PACE) == 15 * MINUTE


def test_a_batch_of_fewer_than_none_is_refused():
    with pytest.raises(ValueError, match="batch"):
        batch_work(_full(latex(11)), -1, PACE)
