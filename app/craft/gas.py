"""Helium in cylinders: what a gauge says of the litres left, and how many balloons they fill.

Helium under pressure is no ideal gas: at 200 bar a cylinder holds 9 % less than Boyle's law says. One term does,
Z = 1 + B·p/(R·T) with a second virial coefficient B that hardly changes near room temperature, so that Z − 1 is
4.85e-4 a bar at 15 °C and goes with 1/T.
"""

from dataclasses import dataclass

from app.physics.air import FREEZING_K, STANDARD_PRESSURE_PA, Air
from app.physics.balloon import BalloonType

Z_PER_BAR = 4.85e-4
"""Of absolute pressure, at 15 °C. Fitted to CoolProp: Z is within 0.15 % of it from 0 to 40 °C, 1 to 250 bar."""
NORMAL_C = 15.0
"""Contents are told in litres at 15 °C and one atmosphere."""
NORMAL_K = NORMAL_C + FREEZING_K
US_NORMAL_C = 21.1
"""The 70 °F at which contents in cubic feet are told."""
STANDARD_BAR = STANDARD_PRESSURE_PA / 1e5
LITRES_PER_CUBIC_FOOT = 28.316846592
BAR_PER_PSI = 0.0689475729
COLDEST_C, HOTTEST_C = -40.0, 60.0
HIGHEST_BAR = 350.0


@dataclass(frozen=True, slots=True)
class PressureReading:
    """What a gauge says: bar above the air around it, and how warm the cylinder stands, °C.

    Raises ValueError, a sentence, below 0 or above 350 bar, and outside −40 to 60 °C.
    """

    bar: float
    celsius: float = NORMAL_C

    def __post_init__(self) -> None:
        if not 0.0 <= self.bar <= HIGHEST_BAR:
            raise ValueError(f"A gauge of a cylinder says 0 to {HIGHEST_BAR:g} bar, not {self.bar:g}.")
        if not COLDEST_C <= self.celsius <= HOTTEST_C:
            raise ValueError(f"A cylinder stands at {COLDEST_C:g} to {HOTTEST_C:g} °C, not at {self.celsius:g}.")

    def at(self, celsius: float) -> "PressureReading":
        """What it says when the same gas has that temperature, °C. Raises ValueError where it would say more than
        350 bar. Source: p/(Z·T) stays as it is."""
        held = _litres_each(self.bar + STANDARD_BAR, self.celsius)
        return PressureReading(max(0.0, _bar_of(held, celsius) - STANDARD_BAR), celsius)


def compressibility(bar: float, celsius: float) -> float:
    """Z of helium, 1 for an ideal gas. bar: absolute, 0 to 351; celsius: −40 to 60.

    Raises ValueError outside those. Source: second virial coefficient, fitted to CoolProp.
    """
    if not 0.0 <= bar <= HIGHEST_BAR + STANDARD_BAR:
        raise ValueError(f"{bar:g} bar is outside 0 to {HIGHEST_BAR + STANDARD_BAR:g}")
    if not COLDEST_C <= celsius <= HOTTEST_C:
        raise ValueError(f"{celsius:g} °C is outside {COLDEST_C:g} to {HOTTEST_C:g}")
    return 1.0 + Z_PER_BAR * NORMAL_K / (celsius + FREEZING_K) * bar


def content_litres(water_l: float, gauge: PressureReading, around: Air | None = None) -> float:
    """All the gas in a cylinder, litres at 15 °C and one atmosphere.

    water_l: its inside, litres of water, above 0. around: the air that the gauge counts from; None is one
    atmosphere. Raises ValueError for a volume that is not above 0.
    """
    _refuse_none("water volume", water_l)
    outside = around.pressure_pa / 1e5 if around else STANDARD_BAR
    return water_l * _litres_each(gauge.bar + outside, gauge.celsius)


def water_litres(nominal_l: float, gauge: PressureReading) -> float:
    """The inside of a cylinder, litres of water, from its nominal content: litres at the temperature of that gauge
    and one atmosphere, told for that pressure. A nominal content is of real gas already; this takes care that Z is
    not applied to it again.

    Raises ValueError for a content that is not above 0.
    """
    _refuse_none("content", nominal_l)
    bar = gauge.bar + STANDARD_BAR
    squeezed = bar / STANDARD_BAR / compressibility(bar, gauge.celsius)
    return nominal_l / (squeezed * compressibility(STANDARD_BAR, gauge.celsius))


def share_left(before: PressureReading, after: PressureReading) -> float:
    """Of the gas that was in a cylinder; 1 is all of it. Raises nothing.

    Source: (p2/Z2)/(p1/Z1) with absolute pressures, and 1/T where the temperatures differ.
    """
    first, second = (_litres_each(gauge.bar + STANDARD_BAR, gauge.celsius) for gauge in (before, after))
    return second / first


def usable_litres(water_l: float, gauge: PressureReading, rest_bar: float, air: Air) -> float:
    """Litres of gas, as measured in that air, that come out until the gauge says rest_bar; 0.0 at or below it.

    water_l: litres of water, above 0. rest_bar: 0 to 350, at the gauge's own temperature.
    Raises ValueError outside those.
    """
    rest = PressureReading(rest_bar, gauge.celsius)
    normal = content_litres(water_l, gauge, air) - content_litres(water_l, rest, air)
    return max(0.0, normal * litres_per_normal_litre(air))


def litres_per_normal_litre(air: Air) -> float:
    """Litres in that air that one litre at 15 °C and one atmosphere becomes. Source: Boyle and Charles."""
    return air.kelvin / NORMAL_K * STANDARD_PRESSURE_PA / air.pressure_pa


def gas_litres(balloon_type: BalloonType, litres: float, air: Air) -> float:
    """Gas that goes into one balloon of so many litres, as measured in that air: one that presses on its gas takes
    a little more. Raises nothing."""
    return litres * (1.0 + balloon_type.material.traits.overpressure_pa / air.pressure_pa)


def fills_left(litres: float, balloon_type: BalloonType, air: Air) -> int:
    """Whole balloons, full, that so many litres of gas fill in that air. Raises nothing."""
    return int(max(0.0, litres) / gas_litres(balloon_type, balloon_type.full_litres, air) + 1e-9)


def _litres_each(bar: float, celsius: float) -> float:
    """Normal litres in one litre of water volume; bar is absolute."""
    warmth = NORMAL_K / (celsius + FREEZING_K)
    normal = compressibility(STANDARD_BAR, NORMAL_C)
    return bar / STANDARD_BAR * warmth * normal / compressibility(bar, celsius)


def _bar_of(litres_each: float, celsius: float) -> float:
    """The inverse of _litres_each: p/Z is one over 1/p + z."""
    kelvin = celsius + FREEZING_K
    ideal = litres_each * STANDARD_BAR * kelvin / NORMAL_K / compressibility(STANDARD_BAR, NORMAL_C)
    return ideal / (1.0 - Z_PER_BAR * NORMAL_K / kelvin * ideal)


def _refuse_none(what: str, litres: float) -> None:
    if litres <= 0:
        raise ValueError(f"a {what} of {litres} L is not above 0")
