"""This module builds a strung arch: helium balloons on one line that lift it into an arch between two end
weights."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from app.craft.curves import Chain, bisected, chain
from app.craft.piece import check_within
from app.craft.weights import Outdoors
from app.physics.air import REFERENCE_AIR, Air
from app.physics.balloon import Gas, net_lift_g
from app.physics.endurance import Filling, FloatDefaults, carried_g
from app.physics.wind import METRES_PER_INCH, drag_n, grams_of_force, holding_weight_g, wind_width_in

TOO_CLOSE = "The balloons are wider than their spacing and push each other aside. Use a wider spacing."
WIND_DIRECTIONS = tuple(math.radians(degrees) for degrees in range(0, 181, 5))

Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class StrungDefaults:
    """The shop's figures for strung arches. Each is a setting; the defaults are from memory.

    spacing_m: the metres from knot to knot along the line, 0.05 to 5. line_g_m: the grams of one metre of line, 0
    to 50 (0.5 for curling ribbon). tie_g: the grams of what ties one balloon to the line, 0 to 50. Creating one
    raises ValueError outside these ranges.
    """

    spacing_m: float = 0.35
    line_g_m: float = 0.5
    tie_g: float = 0.0

    @property
    def load_g(self) -> float:
        """The grams that one balloon carries: its tie, and the line as far as the next balloon."""
        return self.tie_g + self.spacing_m * self.line_g_m

    def __post_init__(self) -> None:
        check_within("a spacing", self.spacing_m, 0.05, 5.0, "m")
        check_within("a line", self.line_g_m, 0.0, 50.0, "g/m")
        check_within("a tie", self.tie_g, 0.0, 50.0, "g")


@dataclass(frozen=True, slots=True)
class StrungArch:
    """A strung arch. Forces are given as the grams whose weight they equal.

    line: its shape in still air. lift_g_m: the lift on each metre of line, less the line's own weight. push_g_m:
    the push of the wind on each metre of line. end_weight_g: the weight at each end in whole grams, rounded up;
    None when it does not rise. warnings: sentences for a person.
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
        """The metres from knot to knot; the first and the last balloon hang half of that from the ends of the
        line."""
        return self.line.length_m / self.balloons

    @property
    def rises(self) -> bool:
        """Whether the balloons lift the line."""
        return self.lift_g_m > 0.0

    @property
    def up_g(self) -> float:
        """The upward pull on each end in still air, in grams; 0 when it does not rise."""
        return max(self.lift_g_m, 0.0) * self.line.length_m / 2

    @property
    def level_g(self) -> float:
        """The horizontal pull on each end in still air, towards the middle, in grams; 0 when it does not rise."""
        return max(self.lift_g_m, 0.0) * self.line.parameter_m

    @property
    def tension_g(self) -> float:
        """The tension of the line in still air, in grams, at its ends, where it is greatest."""
        return math.hypot(self.up_g, self.level_g)

    @property
    def crown_m(self) -> float:
        """The height of the line in metres when it leans in a wind across it; 0 when it does not rise."""
        if not self.rises:
            return 0.0
        return self.line.height_m * self.lift_g_m / math.hypot(self.lift_g_m, self.push_g_m)


def strung_arch(
    span_m: float,
    height_m: float,
    filling: Filling,
    wind_m_s: float = 0.0,
    *,
    air: Air = REFERENCE_AIR,
    strung: StrungDefaults | None = None,
    float_defaults: FloatDefaults | None = None,
    outdoors: Outdoors | None = None,
) -> StrungArch:
    """Returns a strung arch whose line has this span and height in metres, with ranges as in `curve`.

    wind_m_s: metres per second, 0 to 60. air: the air at the venue. Raises ValueError outside these ranges, for
    balloons filled with air, and for a balloon type that takes air only. The shape does not depend on the lift, as
    long as there is some. Each end weight is lift + pull/grip, for a steady wind from any side (calculated every
    5°); gusts come on top. Source: the catenary; balance of forces.
    """
    if filling.gas is Gas.AIR or filling.balloon_type.air_only:
        raise ValueError("a strung arch needs helium in all of its balloons")
    line, strung, outdoors = chain(span_m, height_m), strung or StrungDefaults(), outdoors or Outdoors()
    balloons = max(math.ceil(line.length_m / strung.spacing_m - 1e-9), 1)
    lift, push = _forces_on_one(filling, wind_m_s, air, strung, float_defaults or FloatDefaults())
    lift_g_m = lift * balloons / line.length_m - strung.line_g_m
    push_g_m = push * balloons / line.length_m
    piece = StrungArch(line, wind_width_in(filling, air), balloons, lift_g_m, push_g_m)
    weight = _end_weight_g(line, lift_g_m, push_g_m, outdoors.grip) if piece.rises else None
    return replace(piece, end_weight_g=weight, warnings=tuple(_warnings(piece, wind_m_s, outdoors)))


def _forces_on_one(
    filling: Filling, wind_m_s: float, air: Air, strung: StrungDefaults, float_defaults: FloatDefaults
) -> tuple[float, float]:
    """Returns the lift of one balloon, below 0 when it sinks, and the push of the wind on it, both in grams."""
    carried = carried_g(replace(filling, load_g=strung.tie_g), float_defaults)
    lift = net_lift_g(filling.litres, filling.air, carried, float_defaults.purity)
    return lift, grams_of_force(drag_n(wind_width_in(filling, air), wind_m_s, air))


def end_pull(line: Chain, load: Vector) -> Vector:
    """Returns the pull of the line on its left end in grams, in three directions: towards the right end, across,
    up.

    load: the grams on each metre of the line, the same all along, in those three directions; up must be above 0.
    The line keeps its length and its ends, and hangs as a catenary in the plane of the load and of its ends.
    Source: the catenary.
    """
    strength = math.hypot(*load)
    along, across, up = (part / strength for part in load)
    square_to = math.hypot(across, up)
    drop, gap = line.span_m * along, line.span_m * square_to
    slack = math.sqrt(line.length_m**2 - drop**2) / gap
    steepness = bisected(lambda k: math.sinh(k) / k, slack)
    with_load = strength / 2 * (line.length_m + drop / math.tanh(steepness))
    over = strength * gap / (2 * steepness) / square_to
    return (
        over * square_to**2 + with_load * along,
        (with_load - over * along) * across,
        (with_load - over * along) * up,
    )


def _end_weight_g(line: Chain, lift_g_m: float, push_g_m: float, grip: float) -> float:
    """Returns the weight in grams that an end needs with the wind from its worst side.

    Half a circle of directions is enough, because a wind from the left is for one end what a wind from the right is
    for the other.
    """
    directions = WIND_DIRECTIONS if push_g_m else WIND_DIRECTIONS[:1]
    pulls = (end_pull(line, (push_g_m * math.cos(a), push_g_m * math.sin(a), lift_g_m)) for a in directions)
    return float(math.ceil(max(holding_weight_g(up, math.hypot(x, y), grip) for x, y, up in pulls) - 1e-9))


def _warnings(piece: StrungArch, wind_m_s: float, outdoors: Outdoors) -> Iterator[str]:
    """Yields sentences about what is wrong with a strung arch."""
    if not piece.rises:
        yield (
            f"The arch does not rise: it is {-piece.lift_g_m:.1f}\u00a0g/m too heavy."
            " Use more or larger balloons, or a lighter line."
        )
    elif wind_m_s > 0.0 and piece.crown_m < 0.9 * piece.line.height_m:
        yield f"In {wind_m_s:g}\u00a0m/s wind the arch leans over to a height of {piece.crown_m:.2f}\u00a0m."
    if wind_m_s > outdoors.wind_limit_m_s:
        yield f"{wind_m_s:g}\u00a0m/s wind is above the shop's limit of {outdoors.wind_limit_m_s:g}\u00a0m/s."
    if piece.spacing_m < piece.diameter_in * METRES_PER_INCH:
        yield TOO_CLOSE
