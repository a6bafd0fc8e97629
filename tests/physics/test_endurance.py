"""What a filled balloon owns and spends: latex, foil, sphere and air."""

from dataclasses import replace

import pytest

from app.physics.air import Air
from app.physics.balloon import Gas, coat_g, sphere_litres
from app.physics.endurance import (
    Endurance,
    Filling,
    FloatDefaults,
    carried_g,
    endurance,
    filling_loss_rate,
)
from app.physics.leak import Rubber, float_hours, loss_rate
from app.physics.light import Surroundings
from app.physics.material import Material
from tests.physics.kinds import (
    FOIL_9,
    FOIL_18,
    FOIL_22,
    FOIL_JUMBO,
    SPHERE_20,
    SPHERE_22,
    STUFFING_18,
    latex,
)

DEFAULTS = FloatDefaults()
SEA = Air()
IN, SHADE, SUN = Surroundings.INDOORS, Surroundings.SHADE, Surroundings.SUN


def _full(balloon_type, air=SEA, gas=Gas.HELIUM, treated=False) -> Filling:
    return Filling(balloon_type, gas, balloon_type.full_litres, air, treated)


def _hours_up(filling: Filling, float_defaults: FloatDefaults = DEFAULTS) -> float:
    """Median hours where it was filled, untreated."""
    return endurance(filling, float_defaults).budget / filling_loss_rate(filling, filling.air, IN, float_defaults)


@pytest.mark.parametrize("inches", [5, 9, 11, 12, 16, 24, 36])
@pytest.mark.parametrize("air", [SEA, Air(30.0), Air(15.0, 1609.0)])
def test_latex_owns_what_the_leak_leaves_it(inches, air):
    """Computed: the closed form for one place, itself checked by integration in test_leak."""
    balloon_type = latex(inches)
    hours = float_hours(
        inches,
        balloon_type.mass_g,
        DEFAULTS.load_g,
        air.celsius,
        air.elevation_m,
        size_factor=balloon_type.size_factor,
    )
    assert _hours_up(_full(balloon_type, air)) == pytest.approx(hours, rel=1e-12)


def test_treated_latex_stays_up_ten_times_as_long():
    """About 150 h for an 11-inch balloon: ten times is common practice, no source."""
    owned = endurance(_full(latex(11), treated=True), DEFAULTS)
    assert owned.used([(150.1, 1.0)]) == pytest.approx(owned.budget, rel=1e-3)
    assert (owned.wet_hours, owned.slowed, owned.spread) == (2.0, 13.8, 0.45)
    assert owned.budget < endurance(_full(latex(11)), DEFAULTS).budget


def test_spreads():
    """From memory and from the assumed scatter in test_leak; each a setting."""
    fillings = [_full(latex(11)), _full(latex(11), treated=True), _full(FOIL_18), _full(SPHERE_20)]
    assert [endurance(f, DEFAULTS).spread for f in fillings] == [0.25, 0.45, 0.3, 0.3]
    own = FloatDefaults(spread_untreated=0.1, spread_treated=0.2, spread_film=0.15)
    assert [endurance(f, own).spread for f in fillings] == [0.1, 0.2, 0.15, 0.15]


def test_what_the_gas_carries():
    """3.0 g of latex, 0.75 g of ribbon, 0.6 g of coat at 11 in: from memory. Foil has no coat."""
    assert carried_g(_full(latex(11)), DEFAULTS) == pytest.approx(3.75)
    assert carried_g(_full(latex(11), treated=True), DEFAULTS) == pytest.approx(4.35)
    smaller = replace(_full(latex(11), treated=True), litres=sphere_litres(10))
    assert carried_g(smaller, DEFAULTS) == pytest.approx(3.75 + coat_g(10))
    assert carried_g(_full(FOIL_18), FloatDefaults(load_g=2.0)) == pytest.approx(12.0)


@pytest.mark.parametrize(
    ("balloon_type", "days"), [(FOIL_18, 10), (FOIL_22, 10), (FOIL_JUMBO, 14), (SPHERE_20, 17), (SPHERE_22, 17)]
)
def test_film_keeps_its_stated_hours(balloon_type, days):
    """Common practice, no source (foil 18 in and jumbo); from memory (22 in and spheres)."""
    owned = endurance(_full(balloon_type), DEFAULTS)
    assert owned.budget == days * 24
    assert owned.chance([(days * 24.0, 1.0)]) == pytest.approx(0.5)


def test_film_spends_an_hour_an_hour_wherever_it_is():
    for balloon_type in (FOIL_18, SPHERE_20):
        assert {
            filling_loss_rate(_full(balloon_type), a, s, DEFAULTS)
            for a in (SEA, Air(35.0, 3000.0))
            for s in (IN, SUN)
        } == {1.0}


@pytest.mark.parametrize(("metres", "rises"), [(0, True), (1000, True), (2000, True), (2500, False), (3000, False)])
def test_a_foil_filled_too_high_up_stays_down(metres, rises):
    """Source: Archimedes in the US Standard Atmosphere 1976. 14 L carry 10 g and a ribbon to about 2400 m."""
    owned = endurance(_full(FOIL_18, Air(20.0, metres)), DEFAULTS)
    assert owned.budget == (240 if rises else 0)
    assert owned.chance([(1.0, 1.0)]) == pytest.approx(1.0 if rises else 0.0, abs=1e-9)


@pytest.mark.parametrize(("load_g", "rises"), [(0.0, True), (4.4, True), (4.6, False), (20.0, False)])
def test_a_foil_loaded_too_heavily_stays_down(load_g, rises):
    """Source: Archimedes. 14 L at 20 °C lift 14.5 g, film included."""
    assert (endurance(_full(FOIL_18), FloatDefaults(load_g=load_g)).budget > 0) is rises


def test_a_sphere_of_heavy_film_stays_down():
    """Source: Archimedes. 20 L lift 20.8 g."""
    assert endurance(_full(replace(SPHERE_20, mass_g=20.0)), DEFAULTS).budget > 0
    assert endurance(_full(replace(SPHERE_20, mass_g=20.1)), DEFAULTS).budget == 0.0


def test_impure_helium_lifts_less_foil():
    """Computed: 14 L of 70 % lift 10.2 g, less than foil and ribbon."""
    assert endurance(_full(FOIL_18), FloatDefaults(purity=0.75)).budget > 0
    assert endurance(_full(FOIL_18), FloatDefaults(purity=0.70)).budget == 0.0


@pytest.mark.parametrize(("surroundings", "hours"), [(IN, 120), (SHADE, 24), (SUN, 6)])
@pytest.mark.parametrize("balloon_type", [latex(11), STUFFING_18])
def test_air_filled_latex_looks_its_best_for_so_long(balloon_type, surroundings, hours):
    """From memory: indoors 5 days, outdoors in shade 24 h, in sun 6 h. A hard limit, no odds."""
    filling = _full(balloon_type, gas=Gas.AIR)
    owned, spends = endurance(filling, DEFAULTS), filling_loss_rate(filling, SEA, surroundings, DEFAULTS)
    assert owned.chance([(hours - 0.01, spends)]) == 1.0
    assert owned.chance([(hours + 0.01, spends)]) == 0.0
    assert filling_loss_rate(filling, Air(35.0, 1609.0), surroundings, DEFAULTS) == spends


def test_air_hours_of_a_mixed_day_add_up():
    """Half of its time in the shade and half of that in the sun: just at its best."""
    filling = _full(latex(11), gas=Gas.AIR)
    owned = endurance(filling, DEFAULTS)
    shade, sun = (filling_loss_rate(filling, SEA, surroundings, DEFAULTS) for surroundings in (SHADE, SUN))
    assert owned.used([(12.0, shade), (3.0, sun)]) == pytest.approx(1.0)
    assert owned.chance([(12.0, shade), (3.1, sun)]) == 0.0


def test_air_hours_are_the_shop_s():
    own = FloatDefaults(air_hours_indoors=72.0, air_hours_shade=12.0, air_hours_sun=2.0)
    assert [own.air_hours(surroundings) for surroundings in (IN, SHADE, SUN)] == [72.0, 12.0, 2.0]
    assert filling_loss_rate(_full(latex(11), gas=Gas.AIR), SEA, SUN, own) == 0.5


@pytest.mark.parametrize("balloon_type", [FOIL_9, FOIL_18, SPHERE_22])
def test_film_full_of_air_keeps(balloon_type):
    """Common practice, no source."""
    filling = _full(balloon_type, gas=Gas.AIR)
    spends = filling_loss_rate(filling, SEA, SUN, DEFAULTS)
    assert endurance(filling, DEFAULTS).chance([(2000.0, spends)]) == 1.0


def test_the_shop_s_rubber_reaches_the_budget_and_the_pace():
    slow = FloatDefaults(rubber=Rubber(calibration=48.2, activation_k=4000.0))
    filling, warm = _full(latex(11)), Air(30.0)
    assert endurance(filling, slow).budget == pytest.approx(2 * endurance(filling, DEFAULTS).budget)
    assert filling_loss_rate(filling, warm, IN, slow) == loss_rate(warm, slow.rubber) > loss_rate(warm)


def test_the_sun_does_not_warm_the_reckoning_by_itself():
    """Latex with helium goes by the air's temperature alone; whoever plans gives the sun's."""
    assert filling_loss_rate(_full(latex(11)), SEA, SUN, DEFAULTS) == filling_loss_rate(
        _full(latex(11)), SEA, IN, DEFAULTS
    )


@pytest.mark.parametrize(
    "filling",
    [
        _full(FOIL_18, treated=True),
        _full(SPHERE_20, treated=True),
        _full(latex(11), gas=Gas.AIR, treated=True),
    ],
)
def test_refuses_to_treat_anything_but_latex_with_helium(filling):
    with pytest.raises(ValueError, match=Material.LATEX):
        endurance(filling, DEFAULTS)


@pytest.mark.parametrize("balloon_type", [FOIL_9, STUFFING_18])
def test_refuses_helium_in_what_takes_air_only(balloon_type):
    """Common practice, no source: too small or too heavy to float, or with balloons inside."""
    with pytest.raises(ValueError, match=balloon_type.name):
        endurance(_full(balloon_type), DEFAULTS)


@pytest.mark.parametrize(
    ("litres", "defaults"), [(0.0, DEFAULTS), (-1.0, DEFAULTS), (11.4, FloatDefaults(load_g=-0.5))]
)
def test_refuses_latex_with_no_gas_or_a_load_below_zero(litres, defaults):
    with pytest.raises(ValueError, match="above 0"):
        endurance(Filling(latex(11), Gas.HELIUM, litres, SEA), defaults)


@pytest.mark.parametrize("treated", [False, True])
@pytest.mark.parametrize("celsius", [10.0, 20.0, 33.0])
@pytest.mark.parametrize("inches", [9, 11, 16])
def test_the_median_hours_in_one_place_are_those_of_the_leak(inches, celsius, treated):
    air = Air(celsius)
    filling = replace(_full(latex(inches), treated=treated), air=air)
    owned = endurance(filling, DEFAULTS)
    wanted = float_hours(inches, latex(inches).mass_g, celsius=celsius, treated=treated)
    assert owned.hours_at(filling_loss_rate(filling, air, IN, DEFAULTS)) == pytest.approx(wanted)


@pytest.mark.parametrize("chance", [0.2, 0.5, 0.95, 0.99])
@pytest.mark.parametrize(
    ("budget", "spread", "wet", "slowed"), [(15, 0.25, 0, 1), (13, 0.45, 2, 13.8), (1.5, 0.45, 2, 13.8)]
)
def test_hours_at_a_chance_are_those_after_which_the_chance_is_left(budget, spread, wet, slowed, chance):
    """The quantile is rounded up in its third place, so the chance is met and hardly more than met."""
    owned = Endurance(budget, spread, wet, slowed)
    hours = owned.hours_at(1.2, chance)
    assert chance - 1e-9 <= owned.chance([(hours, 1.2)]) < chance + 0.001


def test_nothing_is_spent_before_it_is_tied():
    owned = Endurance(budget=15.0, spread=0.25)
    assert owned.used([]) == 0.0
    assert owned.chance([]) == 1.0
    assert Endurance(budget=0.0, spread=0.25).chance([]) == 0.0
