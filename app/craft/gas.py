"""This module calculates how many litres of helium a gauge shows to be in a cylinder, and how many balloons they
fill.

Helium under pressure is not an ideal gas: at 200 bar a cylinder holds 9 % less than Boyle's law says. One term is
enough, Z = 1 + B·p/(R·T) with a second virial coefficient B that hardly changes near room temperature, so that Z −
1 is 4.85e-4 per bar at 15 °C and proportional to 1/T.
"""

from dataclasses import dataclass

from app.physics.air import FREEZING_K, STANDARD_PRESSURE_PA, Air
from app.physics.balloon import BalloonType

Z_PER_BAR = 4.85e-4
"""How much Z − 1 grows per bar of absolute pressure at 15 °C. Fitted to CoolProp: Z is within 0.15 % of it from 0
to 40 °C and 1 to 250 bar."""
NORMAL_C = 15.0
"""Contents are given in litres at 15 °C and one atmosphere, which this module calls normal litres."""
NORMAL_K = NORMAL_C + FREEZING_K
US_NORMAL_C = 21.1
"""The 70 °F at which contents in cubic feet are given."""
STANDARD_BAR = STANDARD_PRESSURE_PA / 1e5
LITRES_PER_CUBIC_FOOT = 28.316846592
BAR_PER_PSI = 0.0689475729
COLDEST_C, HOTTEST_C = -40.0, 60.0
HIGHEST_BAR = 350.0


@dataclass(frozen=True, slots=True)
class PressureReading:
    """What a gauge shows: bar above the pressure of the air, and the temperature of the cylinder in °C.

    Creating one raises ValueError, with a sentence for a person, outside 0 to 350 bar and −40 to 60 °C.
    """

    bar: float
    celsius: float = NORMAL_C

    def __post_init__(self) -> None:
        if not 0.0 <= self.bar <= HIGHEST_BAR:
            raise ValueError(f"A cylinder reading is 0 to {HIGHEST_BAR:g} bar, not {self.bar:g}.")
        if not COLDEST_C <= self.celsius <= HOTTEST_C:
            raise ValueError(f"A cylinder has {COLDEST_C:g} to {HOTTEST_C:g} °C, not {self.celsius:g} °C.")

    def at(self, celsius: float) -> "PressureReading":
        """Returns what the gauge shows when the same gas has this temperature in °C.

        Raises ValueError when it would show more than 350 bar. Source: p/(Z·T) does not change.
        """
        held = _litres_each(self.bar + STANDARD_BAR, self.celsius)
        return PressureReading(max(0.0, _bar_of(held, celsius) - STANDARD_BAR), celsius)


def compressibility(bar: float, celsius: float) -> float:
    """Returns the compressibility Z of helium, which is 1 for an ideal gas.

    bar: absolute pressure, 0 to 351. celsius: °C, −40 to 60. Raises ValueError outside these ranges. Source: second
    virial coefficient, fitted to CoolProp.
    """
    if not 0.0 <= bar <= HIGHEST_BAR + STANDARD_BAR:
        raise ValueError(f"{bar:g} bar is outside 0 to {HIGHEST_BAR + STANDARD_BAR:g}")
    if not COLDEST_C <= celsius <= HOTTEST_C:
        raise ValueError(f"{celsius:g} °C is outside {COLDEST_C:g} to {HOTTEST_C:g}")
    return 1.0 + Z_PER_BAR * NORMAL_K / (celsius + FREEZING_K) * bar


def content_litres(water_l: float, gauge: PressureReading, around: Air | None = None) -> float:
    """Returns all the gas in a cylinder, in litres at 15 °C and one atmosphere.

    water_l: the volume inside the cylinder, as litres of water, above 0. around: the air above whose pressure the
    gauge counts; None means one atmosphere. Raises ValueError for a volume that is not above 0. Source: real gas
    law with `compressibility`.
    """
    _check_above_0("water volume", water_l)
    outside = around.pressure_pa / 1e5 if around else STANDARD_BAR
    return water_l * _litres_each(gauge.bar + outside, gauge.celsius)


def water_litres(nominal_l: float, gauge: PressureReading) -> float:
    """Returns the volume inside a cylinder, as litres of water, from its nominal content at this gauge reading.

    nominal_l: litres at the temperature of the reading and one atmosphere, above 0. A nominal content is that of
    real gas already, so Z must not be applied to it again. Raises ValueError for a content that is not above 0.
    Source: real gas law with `compressibility`.
    """
    _check_above_0("content", nominal_l)
    bar = gauge.bar + STANDARD_BAR
    squeezed = bar / STANDARD_BAR / compressibility(bar, gauge.celsius)
    return nominal_l / (squeezed * compressibility(STANDARD_BAR, gauge.celsius))


def share_left(before: PressureReading, after: PressureReading) -> float:
    """Returns the share of the gas in a cylinder that is still there after the second reading; 1 is all of it.

    Raises no errors. Source: (p2/Z2)/(p1/Z1) with absolute pressures, and 1/T when the temperatures differ.
    """
    first, second = (_litres_each(gauge.bar + STANDARD_BAR, gauge.celsius) for gauge in (before, after))
    return second / first


def usable_litres(water_l: float, gauge: PressureReading, residual_bar: float, air: Air) -> float:
    """Returns the litres of gas, measured in that air, that come out until the gauge shows residual_bar; 0.0 when
    it shows no more than that already.

    water_l: the volume inside the cylinder, as litres of water, above 0. residual_bar: the pressure that is left in
    it, 0 to 350, at the temperature of the reading. Raises ValueError outside these ranges. Source: real gas
    law with `compressibility`.
    """
    residual = PressureReading(residual_bar, gauge.celsius)
    normal = content_litres(water_l, gauge, air) - content_litres(water_l, residual, air)
    return max(0.0, normal * litres_per_normal_litre(air))


def litres_per_normal_litre(air: Air) -> float:
    """Returns how many litres one litre at 15 °C and one atmosphere becomes in that air.

    Source: the laws of Boyle and Charles.
    """
    return air.kelvin / NORMAL_K * STANDARD_PRESSURE_PA / air.pressure_pa


def gas_litres(balloon_type: BalloonType, litres: float, air: Air) -> float:
    """Returns the litres of gas, measured in that air, that go into one balloon whose volume is this many litres.

    A material that presses on its gas compresses it a little, so more goes in. Raises no errors.
    """
    return litres * (1.0 + balloon_type.material.traits.overpressure_pa / air.pressure_pa)


def fills_left(litres: float, balloon_type: BalloonType, air: Air) -> int:
    """Returns how many whole balloons this many litres of gas, measured in that air, fill to their full size.

    Raises no errors. Source: `gas_litres`.
    """
    return int(max(0.0, litres) / gas_litres(balloon_type, balloon_type.full_litres, air) + 1e-9)


def _litres_each(bar: float, celsius: float) -> float:
    """Returns the normal litres of gas in one litre of a cylinder's volume, at this absolute pressure."""
    warmth = NORMAL_K / (celsius + FREEZING_K)
    normal = compressibility(STANDARD_BAR, NORMAL_C)
    return bar / STANDARD_BAR * warmth * normal / compressibility(bar, celsius)


def _bar_of(litres_each: float, celsius: float) -> float:
    """Returns the absolute pressure for the result of `_litres_each`, which it inverts: p/Z is 1/(1/p + z)."""
    kelvin = celsius + FREEZING_K
    ideal = litres_each * STANDARD_BAR * kelvin / NORMAL_K / compressibility(STANDARD_BAR, NORMAL_C)
    return ideal / (1.0 - Z_PER_BAR * NORMAL_K / kelvin * ideal)


def _check_above_0(what: str, litres: float) -> None:
    if litres <= 0:
        raise ValueError(f"a {what} of {litres} L is not above 0")
