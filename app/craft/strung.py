"""A strung arch: helium balloons on one line between two end weights, which they lift into an upturned chain."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from app.craft.curves import Chain, bisected, chain
from app.craft.limits import within
from app.craft.weights import Outdoors
from app.physics.air import REFERENCE_AIR, Air
from app.physics.balloon import Gas, net_lift_g
from app.physics.endurance import Filling, FloatDefaults, carried_g
from app.physics.wind import METRES_PER_INCH, drag_n, grams_of_force, holding_weight_g, wind_width_in

WIND_FROM = tuple(math.radians(degrees) for degrees in range(0, 181, 5))

Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class StrungDefaults:
    """The shop's figures for strung arches, from memory, each a setting.

    spacing_m: from knot to knot along the line, 0.05 to 5 m. line_g_m: the line, 0 to 50 g a metre (0.5: curling
    ribbon). tie_g: what hangs on a balloon besides, 0 to 50 g. Raises ValueError outside.
    """

    spacing_m: float = 0.35
    line_g_m: float = 0.5
    tie_g: float = 0.0

    def __post_init__(self) -> None:
        within("a spacing", self.spacing_m, 0.05, 5.0, "m")
        within("a line", self.line_g_m, 0.0, 50.0, "g/m")
        within("a tie", self.tie_g, 0.0, 50.0, "g")


@dataclass(frozen=True, slots=True)
class Strung:
    """What a strung arch takes and does; forces as the grams whose weight they equal.

    line: as it stands in still air. lift_g_m, push_g_m: on each metre of it, less its own weight, and by the wind.
    end_weight_g: at each end, whole grams rounded up; None where it does not rise. warnings: sentences.
    """

    line: Chain
    diameter_in: float
    balloons: int
    lift_g_m: float
    push_g_m: float
    end_weight_g: float | None = None
    warnings: tuple[str, ...] = ()

    @property
    def spacing_m(self) -> float:
        """From knot to knot; the first and the last hang half of it from their ends."""
        return self.line.length_m / self.balloons

    @property
    def rises(self) -> bool:
        return self.lift_g_m > 0.0

    @property
    def up_g(self) -> float:
        """Pull on each end in still air, upwards; 0 where it does not rise."""
        return max(self.lift_g_m, 0.0) * self.line.length_m / 2

    @property
    def level_g(self) -> float:
        """Pull on each end in still air, towards the middle; 0 where it does not rise."""
        return max(self.lift_g_m, 0.0) * self.line.parameter_m

    @property
    def tension_g(self) -> float:
        """Of the line at its ends, where it is greatest, in still air."""
        return math.hypot(self.up_g, self.level_g)

    @property
    def crown_m(self) -> float:
        """Height of the line, leaning in the wind across it; 0 where it does not rise."""
        if not self.rises:
            return 0.0
        return self.line.height_m * self.lift_g_m / math.hypot(self.lift_g_m, self.push_g_m)


def strung_arch(
    span_m: float,
    height_m: float,
    filling: Filling,
    wind_m_s: float = 0.0,
    *,
    there: Air = REFERENCE_AIR,
    strung: StrungDefaults | None = None,
    float_defaults: FloatDefaults | None = None,
    outdoors: Outdoors | None = None,
) -> Strung:
    """A strung arch of that span and height of its line, in metres, as in `curve`; wind 0 to 60 m/s.

    Raises ValueError outside, and for air or a kind that takes air only. The shape does not depend on the lift, as
    long as there is some. The end weights hold by lift + pull/grip in a steady wind from any side (tried every 5°);
    gusts come on top. Source: the catenary; balance of forces.
    """
    if filling.gas is Gas.AIR or filling.balloon_type.air_only:
        raise ValueError("a strung arch is lifted by helium: none of its balloons may hold air")
    line, made, shop = chain(span_m, height_m), strung or StrungDefaults(), outdoors or Outdoors()
    balloons = max(math.ceil(line.length_m / made.spacing_m - 1e-9), 1)
    lift, push = _loads(filling, wind_m_s, there, made, float_defaults or FloatDefaults())
    lift_m = lift * balloons / line.length_m - made.line_g_m
    push_m = push * balloons / line.length_m
    piece = Strung(line, wind_width_in(filling, there), balloons, lift_m, push_m)
    weight = _end_weight_g(line, lift_m, push_m, shop.grip) if piece.rises else None
    return replace(piece, end_weight_g=weight, warnings=tuple(_warnings(piece, wind_m_s, shop)))


def _loads(
    filling: Filling, wind_m_s: float, there: Air, made: StrungDefaults, float_defaults: FloatDefaults
) -> tuple[float, float]:
    """Lift and push of one balloon, grams; the lift below 0 where it sinks."""
    carried = carried_g(filling, replace(float_defaults, load_g=made.tie_g))
    lift = net_lift_g(filling.litres, filling.air, carried, float_defaults.purity)
    return lift, grams_of_force(drag_n(wind_width_in(filling, there), wind_m_s, there))


def end_pull(line: Chain, load: Vector) -> Vector:
    """Pull of the line on its left end, grams: towards the right end, across, and up.

    load: grams on each metre of the line, the same all along, in those three directions; up above 0. The line
    keeps its length and its ends, and hangs as a catenary in the plane of the load and of its ends.
    """
    strength = math.hypot(*load)
    along, across, up = (part / strength for part in load)
    square_to = math.hypot(across, up)
    drop, gap = line.span_m * along, line.span_m * square_to
    loose = math.sqrt(line.length_m**2 - drop**2) / gap
    steepness = bisected(lambda k: math.sinh(k) / k, loose)
    with_load = strength / 2 * (line.length_m + drop / math.tanh(steepness))
    over = strength * gap / (2 * steepness) / square_to
    return (
        over * square_to**2 + with_load * along,
        (with_load - over * along) * across,
        (with_load - over * along) * up,
    )


def _end_weight_g(line: Chain, lift_m: float, push_m: float, grip: float) -> float:
    """The heaviest that an end asks for, with the wind from any side: what comes from the left for the one end
    comes from the right for the other."""
    sides = WIND_FROM if push_m else WIND_FROM[:1]
    pulls = (end_pull(line, (push_m * math.cos(a), push_m * math.sin(a), lift_m)) for a in sides)
    return float(math.ceil(max(holding_weight_g(up, math.hypot(x, y), grip) for x, y, up in pulls) - 1e-9))


def _warnings(piece: Strung, wind_m_s: float, outdoors: Outdoors) -> Iterator[str]:
    if not piece.rises:
        yield (
            f"It does not rise: {-piece.lift_g_m:.1f} g a metre are too much for its balloons."
            " Take larger balloons, a lighter line, or more of them."
        )
    elif wind_m_s > 0.0 and piece.crown_m < 0.9 * piece.line.height_m:
        yield f"In a wind of {wind_m_s:g} m/s across it, it leans over, to a height of {piece.crown_m:.2f} m."
    if wind_m_s > outdoors.wind_limit_m_s:
        yield f"A wind of {wind_m_s:g} m/s is above the shop's limit of {outdoors.wind_limit_m_s:g} m/s."
    if piece.spacing_m < piece.diameter_in * METRES_PER_INCH:
        yield "Its balloons are wider than their spacing: they push each other aside, and it stands less evenly."
