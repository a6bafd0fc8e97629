"""The leak written out a second time and integrated step by step, to stand beside the closed form.

Nothing here uses budgets, paces or reference litres. `fly_in_litres` follows the volume, which jumps by the
gas law at every move; `fly_in_moles` follows the amount of helium through a wall of known thickness, in SI.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from scipy.constants import R

from app.physics.air import Air
from tests.later import integrate

AIR_LESS_HELIUM_G_PER_MOL = 28.9647 - 4.0026
RUBBER_G_PER_M3 = 0.93e6  # Thermopedia, article 1105
HOURS_PER_GRAM = 24.1  # the one calibration constant: 15 h for an 11-inch balloon
ROOM_K = 293.15
ACTIVATION_K = 3007.0  # 25 kJ/mol over R, from memory

Place = tuple[float, Air]  # hours spent there, and its air


@dataclass(frozen=True)
class Tied:
    """A balloon as tied in the first place of its journey; slowed only after wet_hours."""

    litres: float
    rubber_g: float
    carried_g: float
    size_factor: float = 1.0
    purity: float = 1.0
    wet_hours: float = 0.0
    slowed: float = 1.0


@dataclass(frozen=True)
class Flight:
    """When it sank (None: still up at the end) and what it holds at the end, in mol."""

    sank_after: float | None
    moles: float


def sink_hours(tied: Tied, air: Air) -> float:
    """Hours until it sinks where it was filled, by integrating the volume."""
    sank = fly_in_litres(tied, [(10_000.0, air)]).sank_after
    assert sank is not None
    return sank


def fly_in_litres(tied: Tied, places: Sequence[Place]) -> Flight:
    litres, here, passed = tied.litres, places[0][1], 0.0
    for hours, air, slowed in _legs(tied, places):
        litres *= here.pressure_pa / air.pressure_pa * air.kelvin / here.kelvin
        here = air
        loss = 3.0 / (HOURS_PER_GRAM * tied.rubber_g * tied.size_factor) * _warmth(air) * air.kelvin / ROOM_K
        sinks_at = tied.carried_g / (_moles_per_litre(air) * AIR_LESS_HELIUM_G_PER_MOL * tied.purity)
        sank, litres = _integrate(lambda v, k=loss / slowed: -k * v ** (4 / 3), litres, sinks_at, hours)
        if sank is not None:
            return Flight(passed + sank, litres * _moles_per_litre(air))
        passed += hours
    return Flight(None, litres * _moles_per_litre(here))


def fly_in_moles(tied: Tied, places: Sequence[Place]) -> Flight:
    moles, passed = tied.litres * _moles_per_litre(places[0][1]), 0.0
    sinks_at = tied.carried_g / (AIR_LESS_HELIUM_G_PER_MOL * tied.purity)
    for hours, air, slowed in _legs(tied, places):
        rate = _flow_through_wall(tied, air, slowed)
        sank, moles = _integrate(rate, moles, sinks_at, hours)
        if sank is not None:
            return Flight(passed + sank, moles)
        passed += hours
    return Flight(None, moles)


def _flow_through_wall(tied: Tied, air: Air, slowed: float) -> Callable[[float], float]:
    """mol per hour as a function of the mol inside: permeability, area over wall, pressure of the helium."""
    per_litre_third = 0.1 * HOURS_PER_GRAM * tied.size_factor * 3600.0  # s per g of rubber, volume in m3
    shape = R * ROOM_K * RUBBER_G_PER_M3 * math.pi**2 * (6 / math.pi) ** (4 / 3)
    permeability = 3.0 / (per_litre_third * shape) * _warmth(air) / slowed

    def rate(moles: float) -> float:
        volume = moles * R * air.kelvin / air.pressure_pa
        area = math.pi * (6 * volume / math.pi) ** (2 / 3)
        wall = tied.rubber_g / RUBBER_G_PER_M3 / area
        return -3600.0 * permeability * area / wall * air.pressure_pa

    return rate


def _warmth(air: Air) -> float:
    """Permeability against that at 20 °C."""
    return math.exp(-ACTIVATION_K * (1.0 / air.kelvin - 1.0 / ROOM_K))


def _moles_per_litre(air: Air) -> float:
    return air.pressure_pa / (R * air.kelvin) / 1000.0


def _legs(tied: Tied, places: Sequence[Place]) -> Iterator[tuple[float, Air, float]]:
    """The places, cut where the coat is dry: (hours, air, how many times slower)."""
    passed = 0.0
    for hours, air in places:
        wet = min(max(tied.wet_hours - passed, 0.0), hours)
        if wet > 0:
            yield wet, air, 1.0
        if hours > wet:
            yield hours - wet, air, tied.slowed
        passed += hours


def _integrate(
    rate: Callable[[float], float], start: float, floor: float, hours: float
) -> tuple[float | None, float]:
    """Follow dy/dt = rate(y) until y meets the floor or the hours are over: (when it met it, y at the end)."""

    def meets_floor(_t: float, y: Sequence[float]) -> float:
        return y[0] - floor

    meets_floor.terminal = True
    run = integrate.solve_ivp(
        lambda _t, y: [rate(y[0])],
        (0.0, hours),
        [start],
        method="DOP853",
        events=meets_floor,
        rtol=1e-10,
        atol=1e-13,
    )
    assert run.success, run.message
    sank = float(run.t_events[0][0]) if run.t_events[0].size else None
    return sank, float(run.y[0, -1])
