"""A balloon's journey through several places: the closed form against the raw equation, step by step.

Source of the numbers beside the closed form: `scipy.integrate.solve_ivp` on the equation in `raw_leak`.
"""

import pytest

from app.physics.air import Air
from app.physics.balloon import Gas, sphere_litres
from app.physics.endurance import (
    Endurance,
    Filling,
    FloatDefaults,
    carried_g,
    endurance,
    filling_loss_rate,
)
from app.physics.promise import Scatter
from tests.physics.kinds import latex
from tests.physics.raw_leak import Place, Tied, fly_in_litres, fly_in_moles

COOL_SHOP, HOT_VAN, HILL_HALL, MILE_HIGH = Air(18.0), Air(34.0, 200.0), Air(22.0, 900.0), Air(12.0, 1609.0)
ENDLESS = 10_000.0

JOURNEYS = {
    "stays in the shop": [(ENDLESS, COOL_SHOP)],
    "to a party up the hill": [(3.0, COOL_SHOP), (0.75, HOT_VAN), (ENDLESS, HILL_HALL)],
    "down from the hill into the heat": [(1.0, MILE_HIGH), (0.5, HILL_HALL), (ENDLESS, HOT_VAN)],
    "there and back again": [(2.5, COOL_SHOP), (1.0, HOT_VAN), (2.0, MILE_HIGH), (ENDLESS, COOL_SHOP)],
}
FILLINGS = {
    "9 in": (9, 9.0, False, FloatDefaults()),
    "11 in": (11, 11.0, False, FloatDefaults()),
    "11 in treated": (11, 11.0, True, FloatDefaults()),
    "11 in underfilled, impure, loaded": (11, 10.2, False, FloatDefaults(load_g=1.5, purity=0.92)),
    "16 in treated": (16, 16.0, True, FloatDefaults()),
    "36 in": (36, 36.0, False, FloatDefaults(load_g=3.0)),
}
journeys = pytest.mark.parametrize("journey", JOURNEYS.values(), ids=JOURNEYS.keys())
fillings = pytest.mark.parametrize("how", FILLINGS.values(), ids=FILLINGS.keys())
solvers = pytest.mark.parametrize("fly", [fly_in_litres, fly_in_moles])


def _fill(how, air: Air) -> tuple[Filling, FloatDefaults]:
    inches, diameter_in, treated, float_defaults = how
    return Filling(latex(inches), Gas.HELIUM, sphere_litres(diameter_in), air, treated), float_defaults


def _raw(filling: Filling, float_defaults: FloatDefaults) -> Tied:
    """The same balloon for the raw equation; wet hours and slowing from memory, as in `Rubber`."""
    balloon_type, coat = filling.balloon_type, (2.0, 13.8) if filling.treated else (0.0, 1.0)
    carried = carried_g(filling, float_defaults)
    return Tied(
        filling.litres, balloon_type.mass_g, carried, balloon_type.size_factor, float_defaults.purity, *coat
    )


def _stages(filling: Filling, float_defaults: FloatDefaults, places: list[Place]) -> list[tuple[float, float]]:
    return [(hours, filling_loss_rate(filling, air, float_defaults)) for hours, air in places]


def _until(places: list[Place], end: float) -> list[Place]:
    """The journey as far as an hour."""
    cut, passed = [], 0.0
    for hours, air in places:
        cut.append((min(hours, end - passed), air))
        passed += hours
        if passed >= end:
            break
    return cut


@solvers
@fillings
@journeys
def test_it_sinks_when_its_budget_is_spent(journey, how, fly):
    filling, float_defaults = _fill(how, journey[0][1])
    owned = endurance(filling, float_defaults)
    sank = fly(_raw(filling, float_defaults), journey).sank_after
    assert sank > 2.0
    spent = owned.used(_stages(filling, float_defaults, _until(journey, sank)))
    assert spent == pytest.approx(owned.budget, rel=1e-6)


@solvers
@fillings
@journeys
def test_the_gas_left_on_the_way(journey, how, fly):
    """Half way through its budget a balloon holds what the raw equation leaves it, whatever the moves."""
    filling, float_defaults = _fill(how, journey[0][1])
    owned, raw = endurance(filling, float_defaults), _raw(filling, float_defaults)
    half_way = _until(journey, fly(raw, journey).sank_after / 2)
    part = fly(raw, half_way)
    assert part.sank_after is None
    kept = raw.litres * part.moles / _moles_when_tied(raw, journey[0][1])
    remaining = Filling(filling.balloon_type, Gas.HELIUM, kept, journey[0][1])
    bare = Filling(filling.balloon_type, Gas.HELIUM, filling.litres, journey[0][1])
    spent = endurance(bare, float_defaults).budget - endurance(remaining, float_defaults).budget
    assert owned.used(_stages(filling, float_defaults, half_way)) == pytest.approx(spent, rel=1e-6)


def _moles_when_tied(raw: Tied, air: Air) -> float:
    return fly_in_moles(raw, [(0.0, air)]).moles


@solvers
def test_a_move_takes_no_gas_and_sinks_nothing(fly):
    """A balloon that sinks at 1609 m after so many hours has spent nothing on being carried up."""
    filling, float_defaults = _fill(FILLINGS["11 in"], COOL_SHOP)
    raw = _raw(filling, float_defaults)
    hops = [(0.0, COOL_SHOP), (0.0, MILE_HIGH), (0.0, HOT_VAN), (ENDLESS, COOL_SHOP)]
    still = fly(raw, [(ENDLESS, COOL_SHOP)]).sank_after
    assert fly(raw, hops).sank_after == pytest.approx(still, rel=1e-6)
    assert endurance(filling, float_defaults).used(_stages(filling, float_defaults, hops[:3])) == 0.0


def test_fifteen_hours_are_even_odds():
    """Computed: scipy.stats.lognorm. Filled at 9:00 and up at midnight, 20 °C, sea level: 50.1 %."""
    filling, float_defaults = _fill(FILLINGS["11 in"], Air())
    owned = endurance(filling, float_defaults)
    assert round(owned.chance(_stages(filling, float_defaults, [(15.0, Air())])), 3) == 0.501


def test_wet_hours_run_on_from_place_to_place():
    """2 wet hours, then 13.8 times slower (from memory): 1.5 h in the shop, 0.5 h of the van's two."""
    owned = Endurance(20.0, Scatter(0.45), wet_hours=2.0, slowed=13.8)
    spent = owned.used([(1.5, 1.0), (2.0, 1.8), (10.0, 1.2)])
    assert spent == pytest.approx(1.5 + 0.5 * 1.8 + (1.5 * 1.8 + 10 * 1.2) / 13.8, rel=1e-12)


def test_a_coat_that_dries_in_the_heat_costs_more():
    """Later is not always better: filled just before it leaves, a treated balloon dries in the hot place."""
    filling, float_defaults = _fill(FILLINGS["11 in treated"], COOL_SHOP)
    owned = endurance(filling, float_defaults)
    dried_first, left_wet = (
        owned.used(_stages(filling, float_defaults, [(shop, COOL_SHOP), (6.0, HOT_VAN)])) for shop in (2.0, 0.0)
    )
    assert left_wet > dried_first
